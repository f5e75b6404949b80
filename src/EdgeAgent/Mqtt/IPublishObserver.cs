namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>Told how publishing goes, for meters. Must be quick and must not throw.</summary>
public interface IPublishObserver
{
    /// <param name="connected">Whether the broker is connected from now on.</param>
    void BrokerConnected(bool connected);

    /// <summary>The broker acknowledged an event.</summary>
    /// <param name="age">From the reading that decided till now; null where that was in an earlier run.</param>
    void EventPublished(TimeSpan? age);

    /// <summary>The broker acknowledged <paramref name="count"/> states.</summary>
    void StatesPublished(int count);

    /// <summary>The broker refused a message.</summary>
    void PublishRefused();
}
