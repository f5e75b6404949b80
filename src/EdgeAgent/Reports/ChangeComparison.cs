using System.Globalization;
using Dancerwatch.Signals.Statistics;

namespace Dancerwatch.EdgeAgent.Reports;

/// <summary>Says whether trips and margins differ before and after a change. docs/methods/reports.md names the tests.</summary>
internal static class ChangeComparison
{
    private const long MillisecondsPerHour = 3_600_000;

    /// <summary>A difference that chance makes less often than this is called real.</summary>
    private const double Real = 0.05;

    /// <summary>An hour with fewer minutes of running has no margin of its own.</summary>
    private const int FewestMinutes = 20;

    /// <param name="change">ms since 1970-01-01 UTC.</param>
    /// <param name="running">Hours of running before and after.</param>
    /// <param name="trips">Those that could have been warned of.</param>
    /// <param name="margins">Minutes of running and the smaller margin in each.</param>
    public static ChangeReport Of(
        long change,
        (double Before, double After) running,
        IEnumerable<TripRow> trips,
        IEnumerable<(long Milliseconds, double Margin)> margins
    )
    {
        TripRow[] counted = [.. trips.Where(trip => !trip.UnderWay)];
        int before = counted.Count(trip => trip.Time < change);
        ILookup<bool, double> hours = margins
            .GroupBy(minute => (Hour(minute.Milliseconds - change), Later: minute.Milliseconds >= change))
            .Where(hour => hour.Count() >= FewestMinutes)
            .ToLookup(hour => hour.Key.Later, hour => Sample.Median(hour.Select(minute => minute.Margin)));
        double[] earlier = [.. hours[false]];
        double[] later = [.. hours[true]];

        RateChange? rate = null;
        if (running is { Before: > 0, After: > 0 })
        {
            RateComparison compared = RateComparison.Of(
                new(before, running.Before),
                new(counted.Length - before, running.After)
            );
            rate = new(compared.PValue, compared.Ratio, compared.LeastRatio, compared.MostRatio);
        }
        MarginChange? margin = null;
        if (Math.Min(earlier.Length, later.Length) >= RankComparison.FewestValues)
        {
            RankComparison compared = RankComparison.Of(earlier, later);
            margin = new(compared.PValue, compared.Larger, compared.MedianBefore, compared.MedianAfter);
        }
        return new ChangeReport(
            change,
            new ChangeSide(running.Before, before, earlier.Length),
            new ChangeSide(running.After, counted.Length - before, later.Length),
            rate,
            margin,
            $"{TripVerdict(rate)} {MarginVerdict(margin, earlier.Length, later.Length)}"
        );
    }

    private static string TripVerdict(RateChange? rate) =>
        rate switch
        {
            null => "The machine did not run on both sides of the change, so trips cannot be compared.",
            { Ratio: double.NaN } => "No trip came before or after.",
            { PValue: < Real } => Text(
                $"Trips came {(rate.Ratio < 1 ? "less" : "more")} often after the change, and chance alone seldom does that (p = {rate.PValue:G2})."
            ),
            _ => Text($"Trips differ by no more than chance may do (p = {rate.PValue:G2})."),
        };

    private static string MarginVerdict(MarginChange? margin, int before, int after) =>
        margin switch
        {
            null => Text(
                $"Margins cannot be compared: there are {before} hours of running before and {after} after, and it takes {RankComparison.FewestValues} on each side."
            ),
            { PValue: < Real } => Text(
                $"The margin is {(margin.LargerShare > 0.5 ? "larger" : "smaller")} after the change, and chance alone seldom does that (p = {margin.PValue:G2})."
            ),
            _ => Text($"Margins differ by no more than chance may do (p = {margin.PValue:G2})."),
        };

    private static long Hour(long milliseconds) =>
        (long)Math.Floor((double)milliseconds / MillisecondsPerHour);

    private static string Text(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
