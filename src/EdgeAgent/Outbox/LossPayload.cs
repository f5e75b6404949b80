using System.Globalization;
using Dancerwatch.EdgeAgent.Watching.Payloads;

namespace Dancerwatch.EdgeAgent.Outbox;

/// <summary>The word that events are lost, as it is sent.</summary>
internal static class LossPayload
{
    public const string Type = "dancerwatch.events.lost";

    /// <summary>What <c>data</c> is made of.</summary>
    public static MessageShape<Loss> DataShape { get; } =
        new MessageShape<Loss>("data", "Which events are lost.")
            .Text("agent", "The daemon that lost them", loss => loss.Agent)
            .Count("first_sequence", "Sequence of the first of them", loss => loss.Lost.First)
            .Count("last_sequence", "Sequence of the last of them", loss => loss.Lost.Last)
            .Count(
                "events",
                "How many; fewer than from first to last where some in between did arrive",
                loss => loss.Lost.Events
            )
            .Moment("ts", "When it was seen", loss => loss.Milliseconds);

    public static MessageShape<CloudEvent<Loss>> Shape { get; } =
        CloudEvent.Shape(
            "lost-events",
            "Events of a daemon will not arrive: a CloudEvent 1.0, sent before the next event.",
            [Type],
            @"^[^/]+:lost:\d+:\d+$",
            "agent:lost:first:last",
            DataShape
        );

    /// <summary>The same events have the same id however often they are told of.</summary>
    public static string Id(string agent, LostRange lost) =>
        string.Create(CultureInfo.InvariantCulture, $"{agent}:lost:{lost.First}:{lost.Last}");

    /// <param name="source"><c>/site/area/agents/agent</c>.</param>
    /// <param name="agent">The daemon that lost them.</param>
    /// <param name="milliseconds">When that was seen, ms since 1970-01-01 UTC.</param>
    public static byte[] Of(string source, string agent, LostRange lost, long milliseconds) =>
        Shape.Of(
            new(Id(agent, lost), source, Type, milliseconds, lost.Last, new Loss(agent, lost, milliseconds))
        );

    internal sealed record Loss(string Agent, LostRange Lost, long Milliseconds);
}
