using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using MQTTnet;
using MQTTnet.Exceptions;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>
/// Sends what the outbox gives, one at a time, each until the broker has answered it. What no broker takes must not block
/// what comes after it: it is rejected, be it refused by an answer or by hanging up.
/// </summary>
internal sealed class EventStream(
    MqttSettings settings,
    EventOutbox outbox,
    MessageDelivery delivery,
    PublisherLog log,
    IPublishObserver observer,
    MonotonicClock clock
)
{
    /// <summary>Pause before an event is offered again that the broker refused for now.</summary>
    private static readonly TimeSpan s_refusedPause = TimeSpan.FromSeconds(5);

    /// <summary>How often an event is offered that the broker refuses for now, before it gives way to those behind it.</summary>
    private const int MostOffers = 3;

    private readonly Topics _topics = new(settings.TopicPrefix);
    private readonly TimeSpan _expiry = TimeSpan.FromSeconds(settings.EventExpirySeconds);
    private OutboxEntry? _suspect;

    /// <summary>
    /// To be called first on a new connection, with nothing else under way: where a broker hung up for something it was
    /// sent, and this event was on its way with other messages, it is sent alone. Then it is known whose fault it was.
    /// </summary>
    public Task ClearSuspectAsync(BrokerLink link, CancellationToken cancellation) =>
        _suspect is { } suspect && suspect.Sequence == outbox.TryPeek()?.Sequence
            ? SendAsync(link, suspect, alone: true, cancellation)
            : Task.CompletedTask;

    /// <summary>Sends until <paramref name="cancellation"/>, or until the connection is lost.</summary>
    public async Task RunAsync(BrokerLink link, CancellationToken cancellation)
    {
        while (true)
            await SendAsync(link, await outbox.PeekAsync(cancellation), alone: false, cancellation);
    }

    private async Task SendAsync(
        BrokerLink link,
        OutboxEntry entry,
        bool alone,
        CancellationToken cancellation
    )
    {
        try
        {
            long offered = clock.Ticks;
            MqttClientPublishReasonCode answer = await OfferAsync(link, entry, cancellation);
            if (answer.IsAccepted())
                Acknowledge(entry, offered);
            else
                Reject(entry, answer.Word());
            _suspect = null;
        }
        catch (MqttClientUnexpectedDisconnectReceivedException hungUp)
            when (hungUp.ReasonCode?.BlamesWhatWasSent() == true)
        {
            if (alone)
                Reject(entry, $"hung up: {hungUp.ReasonCode}");
            _suspect = alone ? null : entry;
            throw;
        }
    }

    private async Task<MqttClientPublishReasonCode> OfferAsync(
        BrokerLink link,
        OutboxEntry entry,
        CancellationToken cancellation
    )
    {
        for (int offers = 1; ; offers++)
        {
            MqttApplicationMessage message = Messages.Passing(
                _topics.Event(entry.Source),
                entry.Payload,
                CloudEvent.ContentType,
                _expiry
            );
            MqttClientPublishReasonCode answer = await delivery.PublishAsync(link, message, cancellation);
            if (!answer.MayPass() || offers == MostOffers)
                return answer;
            await Task.Delay(s_refusedPause, clock.Time, cancellation);
        }
    }

    private void Acknowledge(OutboxEntry entry, long offered)
    {
        outbox.Acknowledge(entry);
        observer.EventPublished(
            entry.Id,
            entry.ReadingTicks is { } reading ? new EventTimes(reading, offered, clock.Ticks) : null
        );
    }

    private void Reject(OutboxEntry entry, string answer)
    {
        outbox.Reject(entry, answer);
        if (entry.Lost.IsEmpty)
            log.EventRejected(entry.Id, answer);
    }
}
