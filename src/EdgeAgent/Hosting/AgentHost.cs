using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Telemetry;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Hosting.Systemd;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Console;

namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>Runs the agent as a service: log, telemetry, readiness told to systemd, an orderly stop.</summary>
public static class AgentHost
{
    /// <summary>Runs until <paramref name="cancellation"/>, SIGTERM or Ctrl-C.</summary>
    /// <exception cref="Exception">Whatever ended the agent: a failed service must not look like one that was stopped.</exception>
    public static async Task RunAsync(
        AgentSettings settings,
        string? recordDirectory,
        CancellationToken cancellation
    )
    {
        ArgumentNullException.ThrowIfNull(settings);
        // Empty: no settings files, environment variables or switches besides our own configuration.
        HostApplicationBuilder builder = Host.CreateEmptyApplicationBuilder(
            new HostApplicationBuilderSettings()
        );
        builder.Logging.AddFilter("Microsoft", LogLevel.Warning).AddFilter("System", LogLevel.Warning);
        if (SystemdHelpers.IsSystemdService())
            builder.Logging.AddSystemdConsole();
        else
            builder.Logging.AddSimpleConsole(Plain);
        builder.Services.AddSystemd();
        builder.Services.AddTelemetryExport(settings);
        builder.Services.AddSingleton<AgentService>(services => new AgentService(
            new Agent(
                settings,
                TimeProvider.System,
                services.GetRequiredService<ILoggerFactory>(),
                recordDirectory
            )
        ));
        builder.Services.AddHostedService(services => services.GetRequiredService<AgentService>());

        using IHost host = builder.Build();
        await using AgentService service = host.Services.GetRequiredService<AgentService>();
        await host.RunAsync(cancellation);
        // The host ends without a word when a service fails; we do not.
        if (service.ExecuteTask is { IsFaulted: true } failed)
            await failed;
    }

    private static void Plain(SimpleConsoleFormatterOptions options)
    {
        options.SingleLine = true;
        options.TimestampFormat = "HH:mm:ss ";
    }

    private sealed class AgentService(Agent agent) : BackgroundService, IAsyncDisposable
    {
        protected override Task ExecuteAsync(CancellationToken stoppingToken) =>
            agent.RunAsync(stoppingToken);

        public ValueTask DisposeAsync()
        {
            Dispose();
            return agent.DisposeAsync();
        }
    }
}
