using Dancerwatch.EdgeAgent.Configuration;
using Microsoft.Extensions.DependencyInjection;
using OpenTelemetry;
using OpenTelemetry.Metrics;
using OpenTelemetry.Resources;

namespace Dancerwatch.EdgeAgent.Telemetry;

/// <summary>Sends meters and traces to a collector, where one is configured.</summary>
internal static class TelemetryExport
{
    /// <summary>A collector that is away holds the end up for so long.</summary>
    private static readonly TimeSpan s_lastExport = TimeSpan.FromSeconds(1);

    public static void AddTelemetryExport(this IServiceCollection services, AgentSettings settings)
    {
        if (settings.Telemetry.OtlpEndpoint is not { } endpoint)
            return;
        services
            .AddOpenTelemetry()
            .ConfigureResource(resource =>
                resource.AddService("dancerwatch", settings.Site, serviceInstanceId: settings.Area)
            )
            .WithMetrics(metrics => metrics.AddMeter(AgentTelemetry.Name).AddFewSeries())
            .WithTracing(traces => traces.AddSource(AgentTelemetry.Name))
            .UseOtlpExporter(OpenTelemetry.Exporter.OtlpExportProtocol.Grpc, endpoint);
    }

    /// <summary>Sends the meters once more, while the agent is still there to be asked for those that tell when asked.</summary>
    public static void ExportLastMetrics(this IServiceProvider services) =>
        services.GetService<MeterProvider>()?.ForceFlush((int)s_lastExport.TotalMilliseconds);
}
