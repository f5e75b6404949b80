using System.Text.Json;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.StatusPage;

/// <summary>Warnings with their evidence, likely causes and what to look at.</summary>
internal static class WarningJson
{
    /// <summary>A cause that is less likely is not worth a line.</summary>
    private const double LeastConfidence = 0.01;

    public static IEnumerable<OpenCondition> MostUrgentFirst(IEnumerable<OpenCondition> open) =>
        open.OrderByDescending(one => one.Latest.Priority).ThenBy(one => one.SinceMilliseconds);

    public static void Write(Utf8JsonWriter json, string name, IEnumerable<OpenCondition> open) =>
        Write(json, name, open, one => Write(json, one.SinceMilliseconds, one.Latest));

    public static void Write(Utf8JsonWriter json, string name, IEnumerable<PastWarning> past) =>
        Write(
            json,
            name,
            past,
            one =>
            {
                Write(json, one.SinceMilliseconds, one.Last);
                json.WriteNumber("cleared", one.ClearedMilliseconds);
            }
        );

    private static void Write<T>(Utf8JsonWriter json, string name, IEnumerable<T> rows, Action<T> row)
    {
        json.WriteStartArray(name);
        foreach (T one in rows)
        {
            json.WriteStartObject();
            row(one);
            json.WriteEndObject();
        }
        json.WriteEndArray();
    }

    private static void Write(Utf8JsonWriter json, long since, ConditionTransition told)
    {
        json.WriteString("condition", told.Condition.Code());
        json.WriteString("priority", told.Priority.Code());
        json.WriteString("side", told.Side.Code());
        json.WriteNumber("since", since);
        json.WriteStartArray("causes");
        foreach (RankedCause ranked in new[] { told.Causes.First, told.Causes.Second, told.Causes.Third })
        {
            if (ranked.Confidence < LeastConfidence)
                continue;
            json.WriteStartObject();
            json.WriteString("cause", ranked.Cause.Code());
            json.Number("confidence", ranked.Confidence);
            json.WriteEndObject();
        }
        json.WriteEndArray();
        json.WriteString("evidence", told.Evidence);
        json.WriteString("check", told.Check);
    }
}
