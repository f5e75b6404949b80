using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Microsoft.Extensions.Logging;
using MQTTnet;
using MQTTnet.Exceptions;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>
/// Publishes what the watches know: events from the outbox, each until the broker has answered it, and retained
/// states at an interval and after each connect. Survives any trouble with the broker.
/// </summary>
public sealed class MqttPublisher
{
    /// <summary>How long an acknowledgement is waited for before the connection counts as lost.</summary>
    private static readonly TimeSpan s_acknowledgeTimeout = TimeSpan.FromSeconds(10);

    /// <summary>
    /// How long a message under way may take to arrive once the session ends. It is not broken off at once: half a packet
    /// would spoil the connection for the goodbye.
    /// </summary>
    private static readonly TimeSpan s_finishTime = TimeSpan.FromSeconds(1);

    /// <summary>Pause before an event is offered again that the broker refused for now.</summary>
    private static readonly TimeSpan s_refusedPause = TimeSpan.FromSeconds(5);

    /// <summary>How often an event is offered that the broker refuses for now, before it gives way to those behind it.</summary>
    private const int MostOffers = 3;

    private readonly MqttSettings _settings;
    private readonly IReadOnlyList<MachineWatch> _watches;
    private readonly EventOutbox _outbox;
    private readonly IPublishObserver _observer;
    private readonly MonotonicClock _clock;
    private readonly Topics _topics;
    private readonly string _agentStatus;
    private readonly TimeSpan _statusExpiry;
    private readonly PublisherLog _log;
    private readonly BrokerConnection _connection;

    public MqttPublisher(
        AgentSettings agent,
        MqttSettings settings,
        IReadOnlyList<MachineWatch> watches,
        EventOutbox outbox,
        IPublishObserver observer,
        MonotonicClock clock,
        ILogger<MqttPublisher> logger
    )
    {
        ArgumentNullException.ThrowIfNull(agent);
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(clock);
        _settings = settings;
        _watches = watches;
        _outbox = outbox;
        _observer = observer;
        _clock = clock;
        _topics = new Topics(settings.TopicPrefix);
        _agentStatus = _topics.AgentStatus(agent.Site, agent.Area, settings.ClientId);
        // A machine's status must not outlive a daemon that died: it has no will of its own, so it runs out.
        _statusExpiry = TimeSpan.FromSeconds(Math.Max(30, 3 * settings.StateIntervalSeconds));
        _log = new PublisherLog(settings, observer, logger);
        LastWill will = new(
            _agentStatus,
            StatusPayload.OfAgent(settings.ClientId, online: false, milliseconds: null),
            StatePayloads.ContentType
        );
        _connection = new BrokerConnection(settings, will, _log, clock.Time);
    }

    /// <summary>Publishes until <paramref name="cancellation"/>; then tells the broker that nobody watches any more.</summary>
    public Task RunAsync(CancellationToken cancellation) =>
        _connection.RunAsync(
            RunSessionAsync,
            (link, limit) => SayStatusAsync(link, online: false, limit),
            cancellation
        );

    private async Task RunSessionAsync(BrokerLink link, CancellationToken cancellation)
    {
        using CancellationTokenSource either = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        Task[] streams = [PublishStatesAsync(link, either.Token), PublishEventsAsync(link, either.Token)];
        await Task.WhenAny(streams);
        await either.CancelAsync();
        await Task.WhenAll(streams);
    }

    private async Task PublishEventsAsync(BrokerLink link, CancellationToken cancellation)
    {
        TimeSpan expiry = TimeSpan.FromSeconds(_settings.EventExpirySeconds);
        int offers = 0;
        while (true)
        {
            OutboxEntry entry = await _outbox.PeekAsync(cancellation);
            MqttApplicationMessage message = Messages.Passing(
                _topics.Event(entry.Source),
                entry.Payload,
                CloudEvent.ContentType,
                expiry
            );
            MqttClientPublishReasonCode answer = await PublishAsync(link, message, cancellation);
            offers++;
            if (answer.IsAccepted())
            {
                _outbox.Acknowledge(entry);
                _observer.EventPublished(Age(entry));
            }
            else if (answer.MayPass() && offers < MostOffers)
            {
                await Task.Delay(s_refusedPause, _clock.Time, cancellation);
                continue;
            }
            else
            {
                _outbox.Reject(entry, answer.Word());
                if (entry.Lost.IsEmpty)
                    _log.EventRejected(entry.Id, answer.Word());
            }
            offers = 0;
        }
    }

    private TimeSpan? Age(OutboxEntry entry) =>
        entry.ReadingTicks is { } ticks ? TimeSpan.FromTicks(_clock.Ticks - ticks) : null;

    private async Task PublishStatesAsync(BrokerLink link, CancellationToken cancellation)
    {
        using PeriodicTimer timer = new(TimeSpan.FromSeconds(_settings.StateIntervalSeconds), _clock.Time);
        do
        {
            await SayStatusAsync(link, online: true, cancellation);
            foreach (MachineWatch watch in _watches)
            {
                if (watch.State() is { } state)
                    await PublishStateAsync(link, state, cancellation);
            }
        } while (await timer.WaitForNextTickAsync(cancellation));
    }

    private async Task PublishStateAsync(BrokerLink link, MachineState state, CancellationToken cancellation)
    {
        // All at once: one round trip a machine, and no order among topics is promised.
        MqttClientPublishReasonCode[] answers = await Task.WhenAll(
            StatePayloads
                .Of(state)
                .Select(payload =>
                    PublishAsync(
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

    private async Task SayStatusAsync(BrokerLink link, bool online, CancellationToken cancellation)
    {
        long now = _clock.Time.GetUtcNow().ToUnixTimeMilliseconds();
        byte[] agent = StatusPayload.OfAgent(_settings.ClientId, online, now);
        await PublishAsync(
            link,
            Messages.Retained(_agentStatus, agent, StatePayloads.ContentType),
            cancellation
        );
        foreach (MachineWatch watch in _watches)
        {
            MqttApplicationMessage status = Messages.Retained(
                _topics.Status(watch.Place),
                StatusPayload.OfMachine(watch.Place, _settings.ClientId, online, now),
                StatePayloads.ContentType,
                online ? _statusExpiry : null
            );
            await PublishAsync(link, status, cancellation);
        }
    }

    /// <returns>The broker's answer; a refusal is told and counted.</returns>
    private async Task<MqttClientPublishReasonCode> PublishAsync(
        BrokerLink link,
        MqttApplicationMessage message,
        CancellationToken cancellation
    )
    {
        cancellation.ThrowIfCancellationRequested();
        using CancellationTokenSource limit = new(s_acknowledgeTimeout, _clock.Time);
        using CancellationTokenRegistration ending = cancellation.UnsafeRegister(
            static limit => ((CancellationTokenSource)limit!).CancelAfter(s_finishTime),
            limit
        );
        try
        {
            // A refusal is an answer, not an exception.
            MqttClientPublishReasonCode answer = link.Takes(message)
                ? (await link.Client.PublishAsync(message, limit.Token)).ReasonCode
                : PublishAnswer.PacketTooLarge;
            if (!answer.IsAccepted())
                _log.Refused(message.Topic, answer);
            return answer;
        }
        catch (Exception e)
            when (e is OperationCanceledException or MqttCommunicationTimedOutException
                && limit.IsCancellationRequested
                && !cancellation.IsCancellationRequested
            )
        {
            throw new BrokerException(
                $"did not acknowledge a message within {s_acknowledgeTimeout.TotalSeconds:F0} s",
                e
            );
        }
    }
}
