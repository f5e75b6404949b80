using System.Globalization;
using Dancerwatch.EdgeAgent.Watching.Payloads;

namespace Dancerwatch.EdgeAgent.Outbox;

/// <summary>The word that events are lost, as it is sent. Fields: docs/topics.md.</summary>
internal static class LossPayload
{
    public const string Type = "dancerwatch.events.lost";

    /// <summary>The same events have the same id however often they are told of.</summary>
    public static string Id(string agent, LostRange lost) =>
        string.Create(CultureInfo.InvariantCulture, $"{agent}:lost:{lost.First}:{lost.Last}");

    /// <param name="source"><c>/site/area/agents/agent</c>.</param>
    /// <param name="agent">The daemon that lost them.</param>
    /// <param name="milliseconds">When that was seen, ms since 1970-01-01 UTC.</param>
    public static byte[] Of(string source, string agent, LostRange lost, long milliseconds) =>
        CloudEvent.Of(
            Id(agent, lost),
            source,
            Type,
            milliseconds,
            lost.Last,
            json =>
            {
                json.WriteString("agent", agent);
                json.WriteNumber("first_sequence", lost.First);
                json.WriteNumber("last_sequence", lost.Last);
                json.WriteNumber("events", lost.Events);
                json.WriteNumber("ts", milliseconds);
            }
        );
}
