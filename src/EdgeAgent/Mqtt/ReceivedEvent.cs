using System.Diagnostics.CodeAnalysis;
using System.Text.Json;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>An event as it came from a broker, as far as a person wants to read it. What is not known is null.</summary>
internal sealed record ReceivedEvent
{
    private static readonly string[] s_causes = ["cause", "cause_2", "cause_3"];

    /// <summary>The payload as it came.</summary>
    public required ReadOnlyMemory<byte> Payload { get; init; }
    public required string Id { get; init; }
    public required DateTimeOffset Time { get; init; }
    public required string Machine { get; init; }
    public required string Condition { get; init; }
    public required string State { get; init; }
    public string? Priority { get; init; }
    public string? Side { get; init; }
    public double? Fill { get; init; }
    public double? SecondsToLimit { get; init; }
    public double? Probability { get; init; }

    /// <summary>Likeliest first.</summary>
    public required IReadOnlyList<(string Cause, double? Confidence)> Causes { get; init; }
    public string? Evidence { get; init; }
    public string? Check { get; init; }

    /// <summary>Reads a payload.</summary>
    /// <param name="problem">What is wrong with it; empty where it could be read.</param>
    public static bool TryRead(
        ReadOnlyMemory<byte> payload,
        [NotNullWhen(true)] out ReceivedEvent? read,
        out string problem
    )
    {
        try
        {
            using JsonDocument document = JsonDocument.Parse(payload);
            read = Read(payload, document.RootElement);
            problem = "";
            return true;
        }
        // Also what comes of asking JSON for a member it has not, or for another type than it has.
        catch (Exception e)
            when (e
                    is JsonException
                        or InvalidOperationException
                        or KeyNotFoundException
                        or FormatException
                        or ArgumentOutOfRangeException
            )
        {
            read = null;
            problem = e.Message;
            return false;
        }
    }

    private static ReceivedEvent Read(ReadOnlyMemory<byte> payload, JsonElement sent)
    {
        JsonElement data = sent.GetProperty("data");
        return new ReceivedEvent
        {
            Payload = payload,
            Id = Required(sent, "id"),
            Time = DateTimeOffset.FromUnixTimeMilliseconds(data.GetProperty("ts").GetInt64()),
            Machine = Required(data, "machine"),
            Condition = Required(data, "condition"),
            State = Required(data, "state"),
            Priority = Text(data, "priority"),
            Side = Text(data, "side"),
            Fill = Number(data, "fill"),
            SecondsToLimit = Number(data, "seconds_to_limit"),
            Probability = Number(data, "probability"),
            Causes =
            [
                .. s_causes
                    .Select(name => (Cause: Text(data, name), Confidence: Number(data, $"{name}_confidence")))
                    .Where(ranked => ranked.Cause is not null)
                    .Select(ranked => (ranked.Cause!, ranked.Confidence)),
            ],
            Evidence = Text(data, "evidence"),
            Check = Text(data, "check"),
        };
    }

    private static string Required(JsonElement from, string name) =>
        from.GetProperty(name).GetString() ?? throw new JsonException($"{name} is null.");

    private static string? Text(JsonElement from, string name) =>
        from.TryGetProperty(name, out JsonElement value) ? value.GetString() : null;

    private static double? Number(JsonElement from, string name) =>
        from.TryGetProperty(name, out JsonElement value) && value.ValueKind != JsonValueKind.Null
            ? value.GetDouble()
            : null;
}
