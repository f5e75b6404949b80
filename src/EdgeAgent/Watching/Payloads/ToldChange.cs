using System.Diagnostics.CodeAnalysis;
using System.Globalization;
using System.Text.Json;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Watching.Payloads;

/// <summary>A change of a condition as an earlier run told it: what <see cref="EventPayload"/> wrote, read back.</summary>
/// <param name="OnsetMilliseconds">When the occurrence was raised, as its id has it, ms since 1970-01-01 UTC.</param>
/// <param name="Milliseconds">When this change was seen, ms since 1970-01-01 UTC.</param>
/// <param name="Transition">What changed; numbers to six digits, times on the clock of now.</param>
internal sealed record ToldChange(long OnsetMilliseconds, long Milliseconds, ConditionTransition Transition)
{
    /// <param name="toTicks">Monotonic ticks of a wall-clock time in ms since 1970-01-01 UTC.</param>
    /// <returns>False where it is no such payload.</returns>
    public static bool TryRead(
        ReadOnlyMemory<byte> payload,
        Func<long, long> toTicks,
        [NotNullWhen(true)] out ToldChange? told
    )
    {
        try
        {
            using JsonDocument document = JsonDocument.Parse(payload);
            told = Read(document.RootElement, toTicks);
            return true;
        }
        // Also what comes of asking JSON for a member it has not, or for another type than it has.
        catch (Exception e)
            when (e
                    is JsonException
                        or InvalidOperationException
                        or KeyNotFoundException
                        or FormatException
                        or OverflowException
            )
        {
            told = null;
            return false;
        }
    }

    private static ToldChange Read(JsonElement sent, Func<long, long> toTicks)
    {
        // machine:condition:onset:step
        string[] id = (sent.GetProperty("id").GetString() ?? "").Split(':');
        long onset = long.Parse(id[^2], CultureInfo.InvariantCulture);
        JsonElement data = sent.GetProperty("data");
        long milliseconds = data.GetProperty("ts").GetInt64();
        ConditionTransition transition = new()
        {
            Ticks = toTicks(milliseconds),
            OnsetTicks = toTicks(onset),
            Step = int.Parse(id[^1], CultureInfo.InvariantCulture),
            Condition = Word<Condition>(data, "condition", Codes.Code),
            State = Word<ConditionState>(data, "state", Codes.Code),
            Priority = Word<Priority>(data, "priority", Codes.Code),
            Side = Word<Side>(data, "side", Codes.Code),
            FillPercent = Number(data, "fill"),
            MarginPercent = Number(data, "margin"),
            SecondsToLimit = Number(data, "seconds_to_limit"),
            Probability = Number(data, "probability"),
            FrequencyHz = Number(data, "frequency_hz"),
            AmplitudePercent = Number(data, "amplitude"),
            Causes = new(Ranked(data, "cause"), Ranked(data, "cause_2"), Ranked(data, "cause_3")),
            Evidence = Text(data, "evidence") ?? "",
            Check = Text(data, "check") ?? "",
        };
        return new ToldChange(onset, milliseconds, transition);
    }

    private static RankedCause Ranked(JsonElement data, string name) =>
        Text(data, name) is null
            ? default
            : new(Word<Cause>(data, name, Codes.Code), Number(data, $"{name}_confidence"));

    private static T Word<T>(JsonElement data, string name, Func<T, string?> code)
        where T : struct, Enum
    {
        string? word = Text(data, name);
        foreach (T value in Enum.GetValues<T>())
        {
            if (code(value) == word)
                return value;
        }
        throw new FormatException($"'{word}' is no {name}");
    }

    private static string? Text(JsonElement data, string name) => data.GetProperty(name).GetString();

    private static double Number(JsonElement data, string name) =>
        data.GetProperty(name) is { ValueKind: JsonValueKind.Number } number
            ? number.GetDouble()
            : double.NaN;
}
