using System.Globalization;

namespace Dancerwatch.Bench.FleetHistory.Checking;

/// <summary>Margins by product, speed and shift against where the dancers really were.</summary>
internal static class MarginCheck
{
    public const string Question = "margin.sql";

    /// <summary>% of fill, at the median of groups.</summary>
    private const double Allowed = 0.5;

    /// <param name="fewestHours">Groups shorter than this are not compared: a minute at a band's edge moves them.</param>
    public static IEnumerable<Finding> Check(
        IReadOnlyList<AnswerRow> answer,
        IReadOnlyList<AnswerRow> truth,
        double pollSeconds,
        double fewestHours
    )
    {
        Dictionary<string, AnswerRow> told = answer.ToDictionary(Key);
        List<double> errors = [];
        int missing = 0;
        foreach (AnswerRow group in truth.Where(g => g.Number("polls") * pollSeconds / 3600 >= fewestHours))
        {
            if (!told.TryGetValue(Key(group), out AnswerRow? row))
            {
                missing++;
                continue;
            }
            foreach (string side in new[] { "full_margin", "empty_margin" })
                errors.Add(Math.Abs(row.Number(side) - group.Number(side)));
        }
        errors.Sort();
        double median = RollCheck.Median(errors);
        yield return new Finding(
            Question,
            missing == 0 && errors.Count > 0 && median < Allowed && errors[^1] < 6 * Allowed,
            string.Create(
                CultureInfo.InvariantCulture,
                $"{errors.Count / 2} groups of at least {fewestHours} h, {missing} not told; both margins off by {median:F2} % of fill at the median, {errors[^1]:F2} at most"
            )
        );
    }

    private static string Key(AnswerRow row) =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"{row.Number("product")} {row.Number("speed_m_min")} {row.Text("shift")}"
        );
}
