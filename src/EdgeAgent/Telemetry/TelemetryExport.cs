using Dancerwatch.EdgeAgent.Configuration;
using Microsoft.Extensions.DependencyInjection;
using OpenTelemetry;
using OpenTelemetry.Resources;
using OpenTelemetry.Trace;

namespace Dancerwatch.EdgeAgent.Telemetry;

/// <summary>Sends meters and traces to a collector, where one is configured.</summary>
internal static class TelemetryExport
{
    /// <summary>Share of polls whose trace is sent; at 50 polls a second all of them would drown the collector.</summary>
    private const double TracedPolls = 0.002;

    public static void AddTelemetryExport(this IServiceCollection services, AgentSettings settings)
    {
        if (settings.Telemetry.OtlpEndpoint is not { } endpoint)
            return;
        services
            .AddOpenTelemetry()
            .ConfigureResource(resource =>
                resource.AddService("dancerwatch", settings.Site, serviceInstanceId: settings.Area)
            )
            .WithMetrics(metrics => metrics.AddMeter(AgentTelemetry.Name))
            .WithTracing(traces => traces.AddSource(AgentTelemetry.Name).SetSampler(new PollsSeldom()))
            .UseOtlpExporter(OpenTelemetry.Exporter.OtlpExportProtocol.Grpc, endpoint);
    }

    /// <summary>Every trace but of polls, which are many and alike.</summary>
    private sealed class PollsSeldom : Sampler
    {
        private readonly TraceIdRatioBasedSampler _polls = new(TracedPolls);

        public override SamplingResult ShouldSample(in SamplingParameters samplingParameters) =>
            samplingParameters.Name == AgentTelemetry.PollActivity
                ? _polls.ShouldSample(samplingParameters)
                : new SamplingResult(SamplingDecision.RecordAndSample);
    }
}
