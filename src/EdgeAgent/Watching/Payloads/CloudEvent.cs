using System.Globalization;

namespace Dancerwatch.EdgeAgent.Watching.Payloads;

/// <summary>
/// CloudEvents 1.0 in structured JSON with flat data. (CloudEvents specification 1.0.2, JSON event format 1.0.2, sequence
/// extension: github.com/cloudevents/spec)
/// </summary>
/// <param name="Milliseconds">When it happened, ms since 1970-01-01 UTC.</param>
/// <param name="Sequence">Its place among the daemon's events.</param>
/// <param name="Data">What <c>data</c> is made from.</param>
internal sealed record CloudEvent<T>(
    string Id,
    string Source,
    string Type,
    long Milliseconds,
    long Sequence,
    T Data
);

/// <inheritdoc cref="CloudEvent{T}"/>
internal static class CloudEvent
{
    public const string ContentType = "application/cloudevents+json";

    private const string Rfc3339 = "yyyy-MM-dd'T'HH:mm:ss.fff'Z'";

    /// <param name="types">What <c>type</c> may be.</param>
    /// <param name="idPattern">What <c>id</c> looks like, regular expression of ECMA 262.</param>
    /// <param name="id">The same in words.</param>
    /// <param name="data">The members of <c>data</c>.</param>
    public static MessageShape<CloudEvent<T>> Shape<T>(
        string name,
        string meaning,
        IReadOnlyList<string> types,
        string idPattern,
        string id,
        MessageShape<T> data
    ) =>
        new MessageShape<CloudEvent<T>>(name, meaning)
            .OneOf("specversion", "Version of the CloudEvents specification", ["1.0"], _ => "1.0")
            .Text("id", id, new ValueRule("string") { Pattern = idPattern }, sent => sent.Id)
            .Text(
                "source",
                "Who speaks: /site/area/line/machine, or /site/area/agents/agent, percent-encoded where a name has what a URI may not",
                new ValueRule("string") { Format = "uri-reference", Pattern = "^/[^/]+/[^/]+/[^/]+/[^/]+$" },
                sent => UriPath.Of(sent.Source)
            )
            .OneOf("type", "What happened", types, sent => sent.Type)
            .Text(
                "time",
                "When it happened, UTC",
                new ValueRule("string")
                {
                    Format = "date-time",
                    Pattern = @"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$",
                },
                sent => Time(sent.Milliseconds)
            )
            // A string that sorts as it counts, as the extension asks.
            .Text(
                "sequence",
                "Place among the daemon's events, those of all its machines in one series; ten digits or more",
                new ValueRule("string") { Pattern = @"^\d{10,}$" },
                sent => sent.Sequence.ToString("D10", CultureInfo.InvariantCulture)
            )
            .OneOf("datacontenttype", "What data is", ["application/json"], _ => "application/json")
            .Inner("data", data, sent => sent.Data);

    private static string Time(long milliseconds) =>
        DateTimeOffset
            .FromUnixTimeMilliseconds(milliseconds)
            .UtcDateTime.ToString(Rfc3339, CultureInfo.InvariantCulture);
}
