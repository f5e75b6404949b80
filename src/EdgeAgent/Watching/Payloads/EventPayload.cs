using System.Globalization;
using System.Text.Json;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Watching.Payloads;

/// <summary>
/// An event as CloudEvents 1.0 structured JSON with flat data. (CloudEvents specification 1.0.2, JSON event format 1.0.2,
/// sequence extension: github.com/cloudevents/spec) Fields and units: docs/topics.md.
/// </summary>
public static class EventPayload
{
    public const string ContentType = "application/cloudevents+json";

    /// <summary>What the <c>type</c> of every event starts with; the condition's state follows.</summary>
    public const string TypePrefix = "dancerwatch.condition.";

    private const string Rfc3339 = "yyyy-MM-dd'T'HH:mm:ss.fff'Z'";

    public static byte[] Of(MachineEvent sent) =>
        FlatJson.Of(json =>
        {
            DateTimeOffset time = DateTimeOffset.FromUnixTimeMilliseconds(sent.Milliseconds);
            json.WriteString("specversion", "1.0");
            json.WriteString("id", sent.Id);
            json.WriteString("source", sent.Place.Path);
            json.WriteString("type", TypePrefix + sent.Transition.State.Code());
            json.WriteString("time", time.UtcDateTime.ToString(Rfc3339, CultureInfo.InvariantCulture));
            // A string that sorts as it counts, as the extension asks.
            json.WriteString("sequence", sent.Sequence.ToString("D10", CultureInfo.InvariantCulture));
            json.WriteString("datacontenttype", "application/json");
            json.WriteStartObject("data");
            Data(json, sent);
            json.WriteEndObject();
        });

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
