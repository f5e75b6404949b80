using Dancerwatch.EdgeAgent.Mqtt;

namespace Dancerwatch.Fleet.Holding;

/// <summary>Hands on how publishing goes, and tells who raised an event that the broker has it.</summary>
internal sealed class DeliveryNotes(IPublishObserver meters, Action<string> delivered) : IPublishObserver
{
    public void BrokerConnected(bool connected) => meters.BrokerConnected(connected);

    public void EventPublished(string id, EventTimes? times)
    {
        meters.EventPublished(id, times);
        delivered(id);
    }

    public void StatesPublished(int count) => meters.StatesPublished(count);

    public void PublishRefused() => meters.PublishRefused();
}
