using System.Buffers;
using MQTTnet;
using MQTTnet.Protocol;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>The kinds of message we send: JSON at QoS 1, and those of a Sparkplug node as that wants them.</summary>
internal static class Messages
{
    /// <summary>Kept by the broker for whoever subscribes later.</summary>
    /// <param name="expiry">How long the broker keeps it; null for until it is replaced.</param>
    public static MqttApplicationMessage Retained(
        string topic,
        byte[] payload,
        string contentType,
        TimeSpan? expiry = null
    ) => Of(topic, payload, contentType, retain: true, expiry);

    /// <summary>Delivered once to each subscriber; kept no longer than <paramref name="expiry"/> for one that is away.</summary>
    public static MqttApplicationMessage Passing(
        string topic,
        byte[] payload,
        string contentType,
        TimeSpan expiry
    ) => Of(topic, payload, contentType, retain: false, expiry);

    /// <summary>Births and data of a Sparkplug node: QoS 0, not retained.</summary>
    public static MqttApplicationMessage Metrics(string topic, byte[] payload) =>
        new()
        {
            Topic = topic,
            Payload = new ReadOnlySequence<byte>(payload),
            QualityOfServiceLevel = MqttQualityOfServiceLevel.AtMostOnce,
        };

    /// <summary>The death of a Sparkplug node, as the broker would say it: QoS 1, not retained.</summary>
    public static MqttApplicationMessage Death(string topic, byte[] payload) =>
        new()
        {
            Topic = topic,
            Payload = new ReadOnlySequence<byte>(payload),
            QualityOfServiceLevel = MqttQualityOfServiceLevel.AtLeastOnce,
        };

    private static MqttApplicationMessage Of(
        string topic,
        byte[] payload,
        string contentType,
        bool retain,
        TimeSpan? expiry
    ) =>
        new()
        {
            Topic = topic,
            Payload = new ReadOnlySequence<byte>(payload),
            PayloadFormatIndicator = MqttPayloadFormatIndicator.CharacterData,
            ContentType = contentType,
            QualityOfServiceLevel = MqttQualityOfServiceLevel.AtLeastOnce,
            Retain = retain,
            // 0 stands for none.
            MessageExpiryInterval = (uint)Math.Ceiling(expiry?.TotalSeconds ?? 0),
        };
}
