using System.Globalization;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Watching.Payloads;

namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>
/// What the outbox has to send, as metrics: an event as <c>event/...</c> of the node, in the words of docs/topics.md, and what
/// it makes of <c>conditions/...</c> of its machine; the word of lost events as <c>lost/...</c> of the node.
/// </summary>
internal sealed record EventMetrics
{
    private static readonly (string Name, MetricType Type)[] s_event =
    [
        ("id", MetricType.String),
        ("sequence", MetricType.Int64),
        .. Fields(EventPayload.DataShape),
    ];

    // Which daemon lost them is told by whose metrics these are.
    private static readonly (string Name, MetricType Type)[] s_lost =
    [
        .. Fields(LossPayload.DataShape).Where(field => field.Name != "agent"),
    ];

    private EventMetrics() { }

    /// <summary>All there are, each null: as they are before the first event.</summary>
    public static IReadOnlyList<NamedValue> None { get; } =
    [
        .. s_event.Select(field => new NamedValue($"event/{field.Name}", MetricValue.Null(field.Type))),
        .. s_lost.Select(field => new NamedValue($"lost/{field.Name}", MetricValue.Null(field.Type))),
    ];

    /// <summary>When it happened, ms since 1970-01-01 UTC.</summary>
    public required long Milliseconds { get; init; }

    /// <summary>Of the node.</summary>
    public required IReadOnlyList<NamedValue> Node { get; init; }

    /// <summary>The machine it is about; null for lost events.</summary>
    public string? Machine { get; init; }

    /// <summary>Of the machine's device: the condition, as it was from then on.</summary>
    public IReadOnlyList<NamedValue> Condition { get; init; } = [];

    /// <summary>Reads what is to be sent; null where it is nothing of ours, for what was on a disk may be anything.</summary>
    public static EventMetrics? Of(OutboxEntry entry)
    {
        try
        {
            using JsonDocument json = JsonDocument.Parse(entry.Payload);
            return entry.Lost.IsEmpty ? Event(json.RootElement) : Lost(json.RootElement);
        }
        catch (Exception e)
            when (e
                    is JsonException
                        or InvalidOperationException
                        or KeyNotFoundException
                        or FormatException
                        or OverflowException
            )
        {
            return null;
        }
    }

    /// <summary>All but the time, which each metric has.</summary>
    private static IEnumerable<(string Name, MetricType Type)> Fields<T>(MessageShape<T> shape) =>
        shape
            .Fields.Where(field => field.Name != "ts")
            .Select(field => (field.Name, JsonValue.TypeOf(field.Kind)));

    private static EventMetrics Event(JsonElement sent)
    {
        JsonElement data = sent.GetProperty("data");
        return new EventMetrics
        {
            Milliseconds = data.GetProperty("ts").GetInt64(),
            Machine = data.GetProperty("machine").GetString(),
            Node =
            [
                .. s_event.Select(field => new NamedValue(
                    $"event/{field.Name}",
                    JsonValue.Of(
                        // Only these two stand outside.
                        (field.Name is "id" or "sequence" ? sent : data).GetProperty(field.Name),
                        field.Type
                    )
                )),
            ],
            Condition = ConditionOf(data, sent.GetProperty("id").GetString() ?? ""),
        };
    }

    private static NamedValue[] ConditionOf(JsonElement data, string id)
    {
        string name = $"conditions/{data.GetProperty("condition").GetString()?.Replace('-', '_')}";
        bool isCleared = data.GetProperty("state").ValueEquals("cleared");
        // machine:condition:onset:step
        long onset = long.Parse(id.Split(':')[^2], CultureInfo.InvariantCulture);
        return
        [
            new(name, Word("priority")),
            new($"{name}_side", Word("side")),
            new($"{name}_cause", Word("cause")),
            new(
                $"{name}_since",
                isCleared ? MetricValue.Null(MetricType.DateTime) : MetricValue.Of(onset, MetricType.DateTime)
            ),
        ];

        MetricValue Word(string field) =>
            MetricValue.Of(isCleared ? null : data.GetProperty(field).GetString());
    }

    private static EventMetrics Lost(JsonElement sent)
    {
        JsonElement data = sent.GetProperty("data");
        return new EventMetrics
        {
            Milliseconds = data.GetProperty("ts").GetInt64(),
            Node =
            [
                .. s_lost.Select(field => new NamedValue(
                    $"lost/{field.Name}",
                    JsonValue.Of(data.GetProperty(field.Name), field.Type)
                )),
            ],
        };
    }
}
