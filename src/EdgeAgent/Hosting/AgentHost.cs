using System.Runtime.InteropServices;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Hosting.Service;
using Dancerwatch.EdgeAgent.Telemetry;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Console;

namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>Runs the agent as a service: log, telemetry, word to the service manager, reloads, an orderly stop.</summary>
public static class AgentHost
{
    /// <summary>Runs until <paramref name="cancellation"/>, SIGTERM or Ctrl-C.</summary>
    /// <param name="file">Where the settings come from; looked after while it runs.</param>
    /// <exception cref="IOException">The recording cannot be made, or the state directory cannot be used.</exception>
    /// <exception cref="PartDiedException">A part has ended for good.</exception>
    public static async Task RunAsync(
        AgentSettings settings,
        SettingsSource file,
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
        if (ServiceManager.StartedUs)
            builder.Logging.AddSystemdConsole();
        else
            builder.Logging.AddSimpleConsole(Plain);
        builder.Services.AddTelemetryExport(settings);
        using IHost host = builder.Build();
        await host.StartAsync(cancellation);
        try
        {
            IHostApplicationLifetime life = host.Services.GetRequiredService<IHostApplicationLifetime>();
            using CancellationTokenSource stop = CancellationTokenSource.CreateLinkedTokenSource(
                cancellation,
                life.ApplicationStopping
            );
            ILoggerFactory loggers = host.Services.GetRequiredService<ILoggerFactory>();
            await RunAsync(
                settings,
                file,
                recordDirectory,
                loggers,
                host.Services.ExportLastMetrics,
                stop.Token
            );
        }
        finally
        {
            await host.StopAsync(CancellationToken.None);
        }
    }

    private static async Task RunAsync(
        AgentSettings settings,
        SettingsSource file,
        string? recordDirectory,
        ILoggerFactory loggers,
        Action exportLastMetrics,
        CancellationToken cancellation
    )
    {
        TimeProvider time = TimeProvider.System;
        ILogger<Agent> logger = loggers.CreateLogger<Agent>();
        using ServiceManager manager = ServiceManager.FromEnvironment(time);
        await using Agent agent = new(settings, time, loggers, recordDirectory);
        Reload reload = new(file, agent, manager, time, logger);
        // Left alone, it would end the process.
        using PosixSignalRegistration hangUp = PosixSignalRegistration.Create(
            PosixSignal.SIGHUP,
            signal =>
            {
                signal.Cancel = true;
                reload.Ask();
            }
        );
        using CancellationTokenSource end = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        // The first thing to happen when it is to end.
        await using CancellationTokenRegistration stopping = cancellation.UnsafeRegister(
            static manager => ((ServiceManager)manager!).Stopping(),
            manager
        );
        try
        {
            Task[] parts =
            [
                agent.RunAsync(end.Token),
                new Heartbeat(agent, manager, time, logger, AliveFile.FromEnvironment(time)).RunAsync(
                    end.Token
                ),
                reload.RunAsync(end.Token),
            ];
            Task tidying = SpareMemory.GiveBackAfterStartAsync(time, end.Token);
            await Task.WhenAny(parts);
            await end.CancelAsync();
            await Task.WhenAll([.. parts, tidying]);
            // While there is still somebody to ask.
            exportLastMetrics();
        }
        catch (Exception failure) when (failure is not PartDiedException)
        {
            // Whatever it looks like: a file that cannot be read is no reason not to start us anew.
            throw new PartDiedException("The daemon", failure);
        }
    }

    private static void Plain(SimpleConsoleFormatterOptions options)
    {
        options.SingleLine = true;
        options.TimestampFormat = "HH:mm:ss ";
    }
}
