using System.Text.Json;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>What the status topics carry: whether someone watches.</summary>
internal static class StatusPayload
{
    private static readonly string s_version =
        typeof(StatusPayload).Assembly.GetName().Version?.ToString(fieldCount: 3) ?? "";

    /// <param name="milliseconds">ms since 1970-01-01 UTC; null in a last will, which cannot know when it will be sent.</param>
    public static byte[] OfAgent(string clientId, bool online, long? milliseconds) =>
        FlatJson.Of(json =>
        {
            json.WriteString("agent", clientId);
            Status(json, online, milliseconds);
            json.WriteString("version", s_version);
        });

    public static byte[] OfMachine(MachinePlace place, string clientId, bool online, long milliseconds) =>
        FlatJson.Of(json =>
        {
            json.WriteString("machine", place.Machine);
            Status(json, online, milliseconds);
            json.WriteString("agent", clientId);
        });

    private static void Status(Utf8JsonWriter json, bool online, long? milliseconds)
    {
        json.WriteString("status", online ? "online" : "offline");
        if (milliseconds is { } known)
            json.WriteNumber("ts", known);
        else
            json.WriteNull("ts");
    }
}
