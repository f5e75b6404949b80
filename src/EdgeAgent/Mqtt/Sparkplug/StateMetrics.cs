using System.Text.Json;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;

namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>
/// A machine's states as metrics of its device: what the JSON topics say, so that either says the same. A field is named after
/// its topic, <c>margin/full_margin</c>; docs/topics.md has meanings and units. <c>quality</c> stands once, for all.
/// </summary>
internal static class StateMetrics
{
    private const string Quality = "quality";

    private static readonly (string Field, string Metric, MetricType Type)[][] s_states =
    [
        .. StatePayloads.All.Select(state =>
            (
                from field in state.Shape.Fields
                // The device is the machine, and each metric has its time.
                where field.Name is not ("machine" or "ts" or Quality)
                select (field.Name, $"{state.Name}/{field.Name}", JsonValue.TypeOf(field.Kind))
            ).ToArray()
        ),
    ];

    public static IReadOnlyList<NamedValue> Of(MachineState state)
    {
        List<NamedValue> metrics = new(capacity: 160);
        foreach ((StatePayload payload, var fields) in StatePayloads.Of(state).Zip(s_states))
        {
            using JsonDocument json = JsonDocument.Parse(payload.Json);
            JsonElement root = json.RootElement;
            if (metrics.Count == 0)
                metrics.Add(new(Quality, JsonValue.Of(root.GetProperty(Quality), MetricType.String)));
            foreach ((string field, string metric, MetricType type) in fields)
                metrics.Add(new NamedValue(metric, JsonValue.Of(root.GetProperty(field), type)));
        }
        return metrics;
    }
}
