using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Mqtt.Sparkplug;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Outbox.Disk;
using Dancerwatch.EdgeAgent.Telemetry;
using Dancerwatch.EdgeAgent.Watching;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>
/// A way out of the box: an outbox where events wait, and a client that takes them to its broker. Ways know nothing of each
/// other, so that a broker that is away holds up no other.
/// </summary>
/// <param name="Name">Of the client, for the log.</param>
/// <param name="PublishAsync">Publishes until it is cancelled.</param>
internal sealed record Outlet(
    string Name,
    EventOutbox Outbox,
    Func<CancellationToken, Task> PublishAsync,
    Func<bool> IsConnected
) : IAsyncDisposable
{
    private SparkplugNode? _node;

    /// <summary>JSON, where the settings name a broker for it.</summary>
    /// <param name="watches">Asked for the machines that are watched now.</param>
    /// <param name="observer">Told how publishing goes; the telemetry where null.</param>
    /// <exception cref="IOException">The state directory cannot be used.</exception>
    public static Outlet? Json(
        AgentSettings settings,
        Func<IReadOnlyList<MachineWatch>> watches,
        AgentTelemetry telemetry,
        MonotonicClock clock,
        ILoggerFactory loggers,
        IPublishObserver? observer = null
    )
    {
        if (settings.Mqtt is not { } mqtt)
            return null;
        EventOutbox outbox = OutboxOf(settings, mqtt, "outbox", clock.Time, loggers);
        telemetry.Watch(outbox);
        MqttPublisher publisher = new(
            settings,
            mqtt,
            watches,
            outbox,
            observer ?? telemetry,
            clock,
            loggers.CreateLogger<MqttPublisher>()
        );
        return new Outlet("The publisher", outbox, publisher.RunAsync, () => telemetry.IsBrokerConnected);
    }

    /// <summary>A Sparkplug node, where the settings name a broker for it.</summary>
    /// <inheritdoc cref="Json"/>
    public static Outlet? Sparkplug(
        AgentSettings settings,
        Func<IReadOnlyList<MachineWatch>> watches,
        AgentTelemetry telemetry,
        MonotonicClock clock,
        ILoggerFactory loggers
    )
    {
        if (settings.Sparkplug is not { } sparkplug)
            return null;
        EventOutbox outbox = OutboxOf(settings, sparkplug, "sparkplug-outbox", clock.Time, loggers);
        SparkplugNode node = new(
            sparkplug,
            watches,
            outbox,
            settings.StateDirectory is { } directory ? StateFolder.Open(directory, "sparkplug") : null,
            clock,
            loggers.CreateLogger<SparkplugNode>()
        );
        telemetry.Meter.Watch(node.Counters, outbox);
        return new Outlet("The Sparkplug node", outbox, node.RunAsync, () => node.Counters.IsConnected)
        {
            _node = node,
        };
    }

    public async ValueTask DisposeAsync()
    {
        await Outbox.DisposeAsync();
        _node?.Dispose();
    }

    private static EventOutbox OutboxOf(
        AgentSettings settings,
        BrokerSettings broker,
        string folder,
        TimeProvider time,
        ILoggerFactory loggers
    )
    {
        string source = Topics.AgentSource(settings.Site, settings.Area, broker.ClientId);
        ILogger<EventOutbox> logger = loggers.CreateLogger<EventOutbox>();
        return settings.StateDirectory is { } directory
            ? EventOutbox.OnDisk(directory, settings.Outbox, source, time, logger, folder)
            : EventOutbox.InMemory(settings.Outbox.MemoryEvents, source, time, logger);
    }
}
