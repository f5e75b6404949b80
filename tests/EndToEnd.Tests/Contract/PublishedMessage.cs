using System.Buffers;
using System.Text;
using System.Text.Json.Nodes;
using MQTTnet;

namespace Dancerwatch.EndToEnd.Tests.Contract;

/// <summary>A message as a subscriber got it.</summary>
/// <param name="Retain">Whether it was published to be retained.</param>
/// <param name="Payload">As text.</param>
internal sealed record PublishedMessage(
    string Topic,
    string ContentType,
    int Qos,
    bool Retain,
    string Payload
)
{
    public static PublishedMessage Of(MqttApplicationMessage message) =>
        new(
            message.Topic,
            message.ContentType,
            (int)message.QualityOfServiceLevel,
            message.Retain,
            Encoding.UTF8.GetString(message.Payload.ToArray())
        );

    /// <summary>One line for the validators.</summary>
    public string ToLine() =>
        new JsonObject
        {
            ["topic"] = Topic,
            ["contentType"] = ContentType,
            ["qos"] = Qos,
            ["retain"] = Retain,
            ["payload"] = Payload,
        }.ToJsonString();

    /// <summary>The same with some of its payload in other words.</summary>
    public PublishedMessage With(string part, string instead)
    {
        Assert.Contains(part, Payload, StringComparison.Ordinal);
        return this with { Payload = Payload.Replace(part, instead, StringComparison.Ordinal) };
    }

    /// <summary>The same with some of its payload changed.</summary>
    public PublishedMessage With(Action<JsonObject> change)
    {
        JsonObject payload = JsonNode.Parse(Payload)!.AsObject();
        change(payload);
        return this with { Payload = payload.ToJsonString() };
    }
}
