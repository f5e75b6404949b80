using System.Globalization;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Watching.Payloads;

namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>A value of our flat JSON as that of a metric.</summary>
internal static class JsonValue
{
    public static MetricType TypeOf(FieldKind kind) =>
        kind switch
        {
            FieldKind.Number => MetricType.Double,
            FieldKind.Count => MetricType.Int64,
            FieldKind.Moment => MetricType.DateTime,
            FieldKind.Text => MetricType.String,
            _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "No metric has parts."),
        };

    /// <exception cref="InvalidOperationException">It is of another type.</exception>
    /// <exception cref="FormatException">It is a number of another kind.</exception>
    public static MetricValue Of(JsonElement json, MetricType type) =>
        json.ValueKind == JsonValueKind.Null
            ? MetricValue.Null(type)
            : type switch
            {
                MetricType.String => MetricValue.Of(json.GetString()),
                MetricType.Double => MetricValue.Of(json.GetDouble()),
                MetricType.Boolean => MetricValue.Of(json.GetBoolean()),
                _ => MetricValue.Of(Whole(json), type),
            };

    /// <summary>A CloudEvents sequence is a string of digits; a count of a million has an exponent.</summary>
    private static long Whole(JsonElement json) =>
        json.ValueKind == JsonValueKind.String ? long.Parse(json.GetString()!, CultureInfo.InvariantCulture)
        : json.TryGetInt64(out long whole) ? whole
        : (long)json.GetDouble();
}
