using System.Text.Json;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Watching.Payloads;

/// <summary>A change of a condition as it is sent. Fields and units: docs/topics.md.</summary>
public static class EventPayload
{
    /// <summary>What the <c>type</c> of every such event starts with; the condition's state follows.</summary>
    public const string TypePrefix = "dancerwatch.condition.";

    /// <param name="sequence">Its place among the daemon's events, from 1.</param>
    public static byte[] Of(MachineEvent sent, long sequence)
    {
        ArgumentNullException.ThrowIfNull(sent);
        return CloudEvent.Of(
            sent.Id,
            sent.Place.Path,
            TypePrefix + sent.Transition.State.Code(),
            sent.Milliseconds,
            sequence,
            json => Data(json, sent)
        );
    }

    private static void Data(Utf8JsonWriter json, MachineEvent sent)
    {
        ConditionTransition transition = sent.Transition;
        json.WriteString("machine", sent.Place.Machine);
        json.WriteString("condition", transition.Condition.Code());
        json.WriteString("state", transition.State.Code());
        json.WriteString("priority", transition.Priority.Code());
        json.WriteString("side", transition.Side.Code());
        json.Number("fill", transition.FillPercent);
        json.Number("margin", transition.MarginPercent);
        json.Number("seconds_to_limit", transition.SecondsToLimit);
        json.Number("probability", transition.Probability);
        json.Number("frequency_hz", transition.FrequencyHz);
        json.Number("amplitude", transition.AmplitudePercent);
        CauseRanking causes = transition.Causes;
        json.WriteString("cause", causes.First.Cause.Code());
        json.Number("cause_confidence", causes.First.Confidence);
        Further(json, "cause_2", "cause_2_confidence", causes.Second);
        Further(json, "cause_3", "cause_3_confidence", causes.Third);
        json.WriteString("evidence", Said(transition.Evidence));
        json.WriteString("check", Said(transition.Check));
        json.WriteNumber("ts", sent.Milliseconds);
    }

    // "unknown" is an answer where it carries weight; without, it only fills an unused place.
    private static void Further(Utf8JsonWriter json, string name, string confidenceName, RankedCause cause)
    {
        bool used = cause is not { Cause: Cause.Unknown, Confidence: 0 };
        json.WriteString(name, used ? cause.Cause.Code() : null);
        json.Number(confidenceName, used ? cause.Confidence : double.NaN);
    }

    private static string? Said(string text) => text.Length == 0 ? null : text;
}
