using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Watching;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>
/// Publishes what the watches know: events from the outbox, each until the broker has answered it, and retained states at
/// an interval and after each connect. Survives any trouble with the broker.
/// </summary>
public sealed class MqttPublisher : IBrokerSession
{
    private readonly EventStream _events;
    private readonly StateStream _states;
    private readonly BrokerConnection _connection;

    /// <param name="watches">Asked for the machines that are watched now.</param>
    public MqttPublisher(
        AgentSettings agent,
        MqttSettings settings,
        Func<IReadOnlyList<MachineWatch>> watches,
        EventOutbox outbox,
        IPublishObserver observer,
        MonotonicClock clock,
        ILogger<MqttPublisher> logger
    )
    {
        ArgumentNullException.ThrowIfNull(agent);
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(clock);
        PublisherLog log = new(settings, observer, logger);
        MessageDelivery delivery = new(log, clock.Time);
        _events = new EventStream(settings, outbox, delivery, log, observer, clock);
        _states = new StateStream(agent, settings, watches, delivery, observer, clock.Time);
        _connection = new BrokerConnection(settings, this, log, clock.Time);
    }

    /// <summary>Publishes until <paramref name="cancellation"/>; then tells the broker that nobody watches any more.</summary>
    public Task RunAsync(CancellationToken cancellation) => _connection.RunAsync(cancellation);

    LastWill? IBrokerSession.NextWill(bool lastArrived) => _states.Will;

    async Task IBrokerSession.RunAsync(BrokerLink link, CancellationToken cancellation)
    {
        await _events.ClearSuspectAsync(link, cancellation);
        using CancellationTokenSource either = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        Task[] streams = [_states.RunAsync(link, either.Token), _events.RunAsync(link, either.Token)];
        await Task.WhenAny(streams);
        await either.CancelAsync();
        await Task.WhenAll(streams);
    }

    // Where we are back in a moment there is nothing to say.
    Task IBrokerSession.SayGoodbyeAsync(BrokerLink link, bool forGood, CancellationToken cancellation) =>
        forGood ? _states.SayStatusAsync(link, online: false, cancellation) : Task.CompletedTask;
}
