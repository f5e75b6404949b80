using System.Globalization;
using System.Text.Json;

namespace Dancerwatch.EdgeAgent.Watching.Payloads;

/// <summary>
/// CloudEvents 1.0 in structured JSON with flat data. (CloudEvents specification 1.0.2, JSON event format 1.0.2, sequence
/// extension: github.com/cloudevents/spec)
/// </summary>
internal static class CloudEvent
{
    public const string ContentType = "application/cloudevents+json";

    private const string Rfc3339 = "yyyy-MM-dd'T'HH:mm:ss.fff'Z'";

    /// <param name="milliseconds">When it happened, ms since 1970-01-01 UTC.</param>
    /// <param name="sequence">Its place among the daemon's events.</param>
    /// <param name="data">Writes the members of <c>data</c>.</param>
    public static byte[] Of(
        string id,
        string source,
        string type,
        long milliseconds,
        long sequence,
        Action<Utf8JsonWriter> data
    ) =>
        FlatJson.Of(json =>
        {
            DateTimeOffset time = DateTimeOffset.FromUnixTimeMilliseconds(milliseconds);
            json.WriteString("specversion", "1.0");
            json.WriteString("id", id);
            json.WriteString("source", source);
            json.WriteString("type", type);
            json.WriteString("time", time.UtcDateTime.ToString(Rfc3339, CultureInfo.InvariantCulture));
            // A string that sorts as it counts, as the extension asks.
            json.WriteString("sequence", sequence.ToString("D10", CultureInfo.InvariantCulture));
            json.WriteString("datacontenttype", "application/json");
            json.WriteStartObject("data");
            data(json);
            json.WriteEndObject();
        });
}
