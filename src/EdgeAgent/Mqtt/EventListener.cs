using System.Buffers;
using Dancerwatch.EdgeAgent.Configuration;
using MQTTnet;
using MQTTnet.Packets;
using MQTTnet.Protocol;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>What a listener hears. Called one at a time.</summary>
internal interface IEventListenerSink : IBrokerObserver
{
    void Heard(ReceivedEvent heard);

    /// <summary>A daemon tells that events are lost.</summary>
    void Heard(ReceivedLoss heard);

    /// <summary>Something on an event topic that is no event of ours.</summary>
    void NotUnderstood(string topic, string problem);

    /// <summary>The broker does not let us listen; <paramref name="trouble"/> goes after its name.</summary>
    void Refused(string trouble);
}

/// <summary>Listens to the events of every machine under a topic prefix, as a client without a will.</summary>
internal sealed class EventListener(MqttSettings settings, IEventListenerSink sink, TimeProvider time)
    : IBrokerSession
{
    private readonly string _filter = new Topics(settings.TopicPrefix).EveryEvent;

    /// <summary>Listens until <paramref name="cancellation"/>, connecting again when the connection is lost.</summary>
    public Task RunAsync(CancellationToken cancellation) =>
        new BrokerConnection(settings, this, sink, time).RunAsync(cancellation);

    async Task IBrokerSession.RunAsync(BrokerLink link, CancellationToken cancellation)
    {
        link.Client.ApplicationMessageReceivedAsync += received =>
        {
            Hear(received.ApplicationMessage);
            return Task.CompletedTask;
        };
        MqttClientSubscribeResult answer = await link.Client.SubscribeAsync(
            new MqttClientSubscribeOptions
            {
                TopicFilters =
                [
                    new MqttTopicFilter
                    {
                        Topic = _filter,
                        QualityOfServiceLevel = MqttQualityOfServiceLevel.AtLeastOnce,
                    },
                ],
            },
            cancellation
        );
        foreach (MqttClientSubscribeResultItem item in answer.Items)
        {
            if (item.ResultCode > MqttClientSubscribeResultCode.GrantedQoS2)
                sink.Refused($"does not let us listen to {_filter}: {item.ResultCode}");
        }
        await Task.Delay(Timeout.InfiniteTimeSpan, time, cancellation);
    }

    private void Hear(MqttApplicationMessage message)
    {
        byte[] payload = message.Payload.ToArray();
        if (ReceivedLoss.TryRead(payload, out ReceivedLoss? loss))
            sink.Heard(loss);
        else if (ReceivedEvent.TryRead(payload, out ReceivedEvent? heard, out string problem))
            sink.Heard(heard);
        else
            sink.NotUnderstood(message.Topic, problem);
    }
}
