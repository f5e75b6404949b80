using System.Globalization;

namespace Dancerwatch.Bench.FleetHistory.Checking;

/// <summary>The spindles with bad chucks against those that are found, and how far off the millimetres are.</summary>
internal static class RollCheck
{
    /// <summary>Chucks are good below 1 mm, bad from 4 mm on.</summary>
    private const double BadMillimeters = 2.5;

    public const string Question = "out-of-round.sql";

    public static IEnumerable<Finding> Check(IReadOnlyList<AnswerRow> answer, IReadOnlyList<AnswerRow> rolls)
    {
        Dictionary<string, double> truth = rolls
            .GroupBy(Key)
            .ToDictionary(g => g.Key, g => Median(g.Select(roll => roll.Number("out_of_round_mm"))));
        HashSet<string> bad = [.. truth.Where(t => t.Value > BadMillimeters).Select(t => t.Key)];
        HashSet<string> worst = [.. answer.Take(bad.Count).Select(Key)];
        yield return new Finding(
            Question,
            worst.SetEquals(bad),
            $"the {bad.Count} spindles with a bad chuck are the worst {bad.Count} of {answer.Count}: {string.Join(", ", worst)}"
        );
        double leastOfBad = answer.Where(row => bad.Contains(Key(row))).Min(Times);
        double mostOfGood = answer.Where(row => !bad.Contains(Key(row))).Max(Times);
        double[] perMillimeter =
        [
            .. answer
                .Where(row => bad.Contains(Key(row)))
                .Select(row => row.Number("usual_swing_mm") / truth[Key(row)]),
        ];
        yield return new Finding(
            Question,
            leastOfBad > 1.5 * mostOfGood,
            string.Create(
                CultureInfo.InvariantCulture,
                $"a bad chuck swings {leastOfBad:F1} times its line's or more, a good one {mostOfGood:F1} or less; of the bad ones the dancer swings {perMillimeter.Min():F1} to {perMillimeter.Max():F1} mm a mm"
            )
        );
    }

    private static double Times(AnswerRow row) => row.Number("times_its_lines");

    private static string Key(AnswerRow row) => $"{row.Text("site")}/{row.Text("machine")}";

    internal static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        return sorted.Length == 0
            ? double.NaN
            : (sorted[(sorted.Length - 1) / 2] + sorted[sorted.Length / 2]) / 2;
    }
}
