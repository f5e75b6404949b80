using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using MQTTnet;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>Publishes retained states and who watches, after each connect and then at an interval.</summary>
internal sealed class StateStream
{
    private readonly MqttSettings _settings;
    private readonly Func<IReadOnlyList<MachineWatch>> _watches;
    private readonly MessageDelivery _delivery;
    private readonly IPublishObserver _observer;
    private readonly TimeProvider _time;
    private readonly Topics _topics;
    private readonly string _agentStatus;
    private readonly TimeSpan _statusExpiry;

    // Whom subscribers take to be watched.
    private IReadOnlyList<MachineWatch> _told = [];

    public StateStream(
        AgentSettings agent,
        MqttSettings settings,
        Func<IReadOnlyList<MachineWatch>> watches,
        MessageDelivery delivery,
        IPublishObserver observer,
        TimeProvider time
    )
    {
        _settings = settings;
        _watches = watches;
        _delivery = delivery;
        _observer = observer;
        _time = time;
        _topics = new Topics(settings.TopicPrefix);
        _agentStatus = _topics.AgentStatus(agent.Site, agent.Area, settings.ClientId);
        // A machine's status must not outlive a daemon that died: it has no will of its own, so it runs out.
        _statusExpiry = TimeSpan.FromSeconds(Math.Max(30, 3 * settings.StateIntervalSeconds));
        Will = new LastWill(
            _agentStatus,
            StatusPayload.OfAgent(settings.ClientId, online: false, milliseconds: null)
        )
        {
            ContentType = StatePayloads.ContentType,
            IsRetained = true,
        };
    }

    /// <summary>What the broker says of the daemon when the connection breaks.</summary>
    public LastWill Will { get; }

    /// <summary>Publishes until <paramref name="cancellation"/>, or until the connection is lost.</summary>
    public async Task RunAsync(BrokerLink link, CancellationToken cancellation)
    {
        using PeriodicTimer timer = new(TimeSpan.FromSeconds(_settings.StateIntervalSeconds), _time);
        do
        {
            await SayGoneAsync(link, cancellation);
            await SayStatusAsync(link, online: true, cancellation);
            foreach (MachineWatch watch in _watches())
            {
                if (watch.State() is { } state)
                    await PublishStateAsync(link, state, cancellation);
            }
        } while (await timer.WaitForNextTickAsync(cancellation));
    }

    /// <summary>Says for the daemon and each machine whether someone watches.</summary>
    public async Task SayStatusAsync(BrokerLink link, bool online, CancellationToken cancellation)
    {
        long now = _time.GetUtcNow().ToUnixTimeMilliseconds();
        byte[] agent = StatusPayload.OfAgent(_settings.ClientId, online, now);
        await _delivery.PublishAsync(
            link,
            Messages.Retained(_agentStatus, agent, StatePayloads.ContentType),
            cancellation
        );
        foreach (MachineWatch watch in _watches())
            await SayStatusAsync(link, watch.Place, online, now, cancellation);
    }

    /// <summary>
    /// Says the last of each machine that is watched no longer: no condition is raised, and nobody watches. Of one that another
    /// daemon watches now nothing is said: that is the other's.
    /// </summary>
    private async Task SayGoneAsync(BrokerLink link, CancellationToken cancellation)
    {
        IReadOnlyList<MachineWatch> watched = _watches();
        IEnumerable<MachinePlace> places = watched.Select(watch => watch.Place);
        foreach (MachineWatch gone in _told.ExceptBy(places, watch => watch.Place))
        {
            if (!gone.IsClosed)
                continue;
            if (gone.State() is { } last)
                await PublishStateAsync(link, last, cancellation);
            long now = _time.GetUtcNow().ToUnixTimeMilliseconds();
            await SayStatusAsync(link, gone.Place, online: false, now, cancellation);
        }
        // Only now: where the connection breaks before, it is said over the next.
        _told = watched;
    }

    private Task<MqttClientPublishReasonCode> SayStatusAsync(
        BrokerLink link,
        MachinePlace place,
        bool online,
        long milliseconds,
        CancellationToken cancellation
    ) =>
        _delivery.PublishAsync(
            link,
            Messages.Retained(
                _topics.Status(place),
                StatusPayload.OfMachine(place, _settings.ClientId, online, milliseconds),
                StatePayloads.ContentType,
                online ? _statusExpiry : null
            ),
            cancellation
        );

    private async Task PublishStateAsync(BrokerLink link, MachineState state, CancellationToken cancellation)
    {
        // All at once: one round trip a machine, and no order among topics is promised.
        MqttClientPublishReasonCode[] answers = await Task.WhenAll(
            StatePayloads
                .Of(state)
                .Select(payload =>
                    _delivery.PublishAsync(
                        link,
                        Messages.Retained(
                            _topics.State(state.Place, payload.Name),
                            payload.Json,
                            StatePayloads.ContentType
                        ),
                        cancellation
                    )
                )
        );
        _observer.StatesPublished(answers.Count(PublishAnswer.IsAccepted));
    }
}
