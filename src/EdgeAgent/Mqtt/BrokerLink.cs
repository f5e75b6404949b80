using System.Text;
using MQTTnet;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>A connection to a broker, as it was agreed.</summary>
/// <param name="Client">Connected.</param>
/// <param name="Files">The files it was made with.</param>
/// <param name="LongestPacket">Longest packet the broker takes, bytes; null or 0 (which MQTT does not allow) for no limit. One that is longer makes it hang up.</param>
internal sealed record BrokerLink(IMqttClient Client, ConnectFiles.Stamp Files, uint? LongestPacket)
    : IDisposable
{
    /// <summary>Whether the last will is said after a goodbye, too.</summary>
    public bool IsWillAlwaysSaid { get; init; }

    // Fixed header, packet id, lengths, format, expiry and content type of a publish, generously.
    private const int Overhead = 100;

    public bool Takes(MqttApplicationMessage message) =>
        LongestPacket is not ({ } longest and > 0)
        || message.Payload.Length + Encoding.UTF8.GetByteCount(message.Topic) + Overhead <= longest;

    public void Dispose() => Client.Dispose();
}
