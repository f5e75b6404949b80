using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Hosting;
using Dancerwatch.EdgeAgent.Telemetry;
using Dancerwatch.Fleet.Grains;
using Dancerwatch.Fleet.Holding;
using Dancerwatch.Fleet.Leases;
using Dancerwatch.Fleet.Records;
using Microsoft.Extensions.DependencyInjection;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging;
using Npgsql;
using Orleans.Storage;

namespace Dancerwatch.Fleet.Hosting;

/// <summary>Runs one host of a fleet: its way out, its place among the others, its lease.</summary>
internal static class FleetHost
{
    private static readonly TimeSpan s_retry = TimeSpan.FromSeconds(1);

    /// <summary>Runs until <paramref name="cancellation"/>; then gives its controllers back and returns.</summary>
    /// <param name="settings">The configuration, the same on all hosts.</param>
    /// <remarks>Where the lease is lost, or a part has ended for good, it ends the process, with <see cref="ExitCodes.Fault"/>: to be started anew.</remarks>
    public static async Task RunAsync(
        AgentSettings settings,
        FleetSettings fleet,
        CancellationToken cancellation
    )
    {
        HostApplicationBuilder builder = Host.CreateEmptyApplicationBuilder(
            new HostApplicationBuilderSettings()
        );
        builder
            .Logging.AddFilter("Microsoft", LogLevel.Warning)
            .AddFilter("System", LogLevel.Warning)
            .AddFilter("Orleans", LogLevel.Error)
            // Calls to hosts that are on their way out: the next round makes them again.
            .AddFilter("Orleans.Messaging", LogLevel.Critical)
            .AddFilter("Polly", LogLevel.Critical)
            .AddSimpleConsole(options =>
            {
                options.SingleLine = true;
                options.TimestampFormat = "yyyy-MM-ddTHH:mm:ss.fffZ ";
                options.UseUtcTimestamp = true;
            });
        builder.Services.AddTelemetryExport(settings);
        builder.Services.AddRooms(settings with { Mqtt = OwnClient(settings.Mqtt, fleet) }, fleet);
        builder.UseOrleans(silo => silo.UseFleet(fleet));
        using IHost host = builder.Build();
        IServiceProvider services = host.Services;
        ILogger logger = services.GetRequiredService<ILoggerFactory>().CreateLogger(typeof(FleetHost));
        HostOutput output = services.GetRequiredService<HostOutput>();
        TaskCompletionSource<PartDiedException> died = new();
        output.Start((part, why) => died.TrySetResult(new PartDiedException(part, why)));
        try
        {
            if (fleet.Database is { } database)
                await AwaitStorageAsync(database, logger, cancellation);
            await host.StartAsync(cancellation);
            await RunAsync(services, died.Task, logger, cancellation);
            await host.StopAsync(CancellationToken.None);
            await output.DisposeAsync();
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested)
        {
            await output.DisposeAsync();
        }
        catch (PartDiedException)
        {
            // To disk with what was raised, and out: the others wait for this process to be gone, and its silo would say goodbye
            // to a storage that does not answer.
            await output.DisposeAsync();
            services.GetRequiredService<ILoggerFactory>().Dispose();
            Environment.Exit(ExitCodes.Fault);
        }
    }

    private static async Task RunAsync(
        IServiceProvider services,
        Task<PartDiedException> outputDied,
        ILogger logger,
        CancellationToken cancellation
    )
    {
        HostLease lease = services.GetRequiredService<HostLease>();
        HostRooms rooms = services.GetRequiredService<HostRooms>();
        AgentSettings settings = rooms.Settings;
        IClusterMembershipService members = services.GetRequiredService<IClusterMembershipService>();
        rooms.IsAlive = holder =>
            members.CurrentSnapshot.Members.Values.Any(member =>
                member.SiloAddress.ToParsableString() == holder.Run
                && member.Status is not (SiloStatus.Dead or SiloStatus.None)
            );
        await lease.TakeAsync(cancellation);
        string version = typeof(FleetHost).Assembly.GetName().Version!.ToString(fieldCount: 3);
        logger.HostBegins(
            lease.Holder.Host,
            version,
            settings.Controllers.Count,
            settings.Machines.Count,
            lease.Length.TotalSeconds
        );
        using CancellationTokenSource end = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        Task<string?> keeping = lease.KeepAsync(end.Token);
        Task calling = services.GetRequiredService<RollCaller>().RunAsync(end.Token);
        Task stopped = Task.Delay(Timeout.Infinite, end.Token);
        await Task.WhenAny(keeping, calling, stopped, outputDied, rooms.HasDied);
        if (!cancellation.IsCancellationRequested)
        {
            string why = "a part of it has ended";
            if (keeping.IsCompletedSuccessfully)
                why = await keeping ?? why;
            else if (rooms.HasDied.IsCompleted)
                why = (await rooms.HasDied).Message;
            else if (outputDied.IsCompleted)
                why = (await outputDied).Message;
            logger.LeaseLost(why);
            throw new PartDiedException("The host", new InvalidOperationException(why));
        }
        // The lease is kept while controllers are given back: by the silo, as it stops.
    }

    private static async Task AwaitStorageAsync(
        string database,
        ILogger logger,
        CancellationToken cancellation
    )
    {
        bool isTold = false;
        while (true)
        {
            try
            {
                await using NpgsqlConnection connection = new(
                    FleetSilo.Connection(database, "members", connections: 4)
                );
                await connection.OpenAsync(cancellation);
                await using NpgsqlCommand tables = new("select 1 from OrleansQuery limit 1", connection);
                if (await tables.ExecuteScalarAsync(cancellation) is not null)
                    return;
            }
            catch (Exception failure) when (failure is NpgsqlException or TimeoutException)
            {
                string trouble = failure is PostgresException { SqlState: PostgresErrorCodes.UndefinedTable }
                    ? "it has no tables of a fleet yet; 'dancerwatch-fleet schema | psql ...' makes them"
                    : failure.GetBaseException().Message;
                if (!isTold)
                    logger.StorageAway(trouble);
                isTold = true;
                await Task.Delay(s_retry, TimeProvider.System, cancellation);
            }
        }
    }

    private static MqttSettings? OwnClient(MqttSettings? mqtt, FleetSettings fleet) =>
        mqtt is null ? null : mqtt with { ClientId = $"{mqtt.ClientId}-{fleet.Host}" };

    private static void AddRooms(
        this IServiceCollection services,
        AgentSettings settings,
        FleetSettings fleet
    )
    {
        services.AddSingleton(settings);
        services.AddSingleton(fleet);
        services.AddSingleton(new MonotonicClock(TimeProvider.System));
        services.AddSingleton<AgentTelemetry>();
        services.AddSingleton(provider => new FleetStorage(
            provider.GetRequiredKeyedService<IGrainStorage>(FleetStorage.Leases),
            provider.GetRequiredKeyedService<IGrainStorage>(FleetStorage.Name)
        ));
        services.AddSingleton<OtherLeases>();
        services.AddSingleton<RollCaller>();
        services.AddSingleton<HostRooms>();
        services.AddSingleton(provider => new HostOutput(
            settings,
            provider.GetRequiredService<AgentTelemetry>(),
            provider.GetRequiredService<MonotonicClock>(),
            provider.GetRequiredService<ILoggerFactory>(),
            id => provider.GetRequiredService<HostRooms>().NoteDelivered(id)
        ));
        services.AddSingleton(provider => new HostLease(
            provider.GetRequiredService<FleetStorage>().Host(fleet.Host),
            new Holder(
                fleet.Host,
                provider.GetRequiredService<ILocalSiloDetails>().SiloAddress.ToParsableString()
            ),
            fleet.Lease,
            provider.GetRequiredService<MonotonicClock>(),
            provider.GetRequiredService<ILogger<HostLease>>()
        ));
    }
}
