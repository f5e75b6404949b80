namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>Told how publishing goes, for meters. Must be quick and must not throw.</summary>
public interface IPublishObserver
{
    /// <param name="connected">Whether the broker is connected from now on.</param>
    void BrokerConnected(bool connected);

    /// <summary>The broker acknowledged an event.</summary>
    /// <param name="id">The event's.</param>
    /// <param name="times">Null where its reading was taken in an earlier run.</param>
    void EventPublished(string id, EventTimes? times);

    /// <summary>The broker acknowledged <paramref name="count"/> states.</summary>
    void StatesPublished(int count);

    /// <summary>The broker refused a message.</summary>
    void PublishRefused();
}

/// <summary>The course of an event on its way out, monotonic ticks of 100 ns.</summary>
/// <param name="Reading">The time that the reading which decided bears.</param>
/// <param name="Offered">When it was sent to the broker first.</param>
/// <param name="Acknowledged">When the broker had it.</param>
public readonly record struct EventTimes(long Reading, long Offered, long Acknowledged);
