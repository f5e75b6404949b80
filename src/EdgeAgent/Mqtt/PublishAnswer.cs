using MQTTnet;
using MQTTnet.Protocol;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>What a broker's answer to a message means for it. Codes: MQTT 5.0, table 2-6.</summary>
internal static class PublishAnswer
{
    /// <summary>Longer than the broker takes. MQTTnet has no name for it among the answers to a publish.</summary>
    public const MqttClientPublishReasonCode PacketTooLarge = (MqttClientPublishReasonCode)0x95;

    public static bool IsAccepted(this MqttClientPublishReasonCode answer) =>
        answer is MqttClientPublishReasonCode.Success or MqttClientPublishReasonCode.NoMatchingSubscribers;

    /// <summary>Whether the broker may take the same message a little later. Rights, names and sizes stay as they are.</summary>
    public static bool MayPass(this MqttClientPublishReasonCode answer) =>
        answer
            is MqttClientPublishReasonCode.UnspecifiedError
                or MqttClientPublishReasonCode.ImplementationSpecificError
                or MqttClientPublishReasonCode.PacketIdentifierInUse
                or MqttClientPublishReasonCode.QuotaExceeded;

    public static string Word(this MqttClientPublishReasonCode answer) =>
        answer == PacketTooLarge ? nameof(PacketTooLarge) : answer.ToString();

    /// <summary>Whether a broker hung up for something it was sent, and not for reasons of its own.</summary>
    public static bool BlamesWhatWasSent(this MqttDisconnectReasonCode reason) =>
        reason
            is MqttDisconnectReasonCode.MalformedPacket
                or MqttDisconnectReasonCode.ProtocolError
                or MqttDisconnectReasonCode.NotAuthorized
                or MqttDisconnectReasonCode.TopicNameInvalid
                or MqttDisconnectReasonCode.PacketTooLarge
                or MqttDisconnectReasonCode.PayloadFormatInvalid;
}
