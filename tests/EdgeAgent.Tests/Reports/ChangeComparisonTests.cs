using Dancerwatch.EdgeAgent.Reports;

namespace Dancerwatch.EdgeAgent.Tests.Reports;

public sealed class ChangeComparisonTests
{
    private const long Change = 100 * 3_600_000L;

    [Fact]
    public void Far_fewer_trips_and_larger_margins_are_called_real()
    {
        ChangeReport change = ChangeComparison.Of(
            Change,
            (100, 100),
            Trips(before: 20, after: 3),
            Margins(hour => hour < 100 ? 10 + (hour % 5) : 20 + (hour % 5))
        );

        Assert.Equal((20, 3), (change.Before.Trips, change.After.Trips));
        Assert.Equal((100, 100), (change.Before.MarginHours, change.After.MarginHours));
        // Computed with SciPy 1.10.1's binomtest(3, 23, 0.5).pvalue.
        Assert.Equal(0.0004882812, change.Trips!.PValue, 1e-9);
        Assert.Equal(0.15, change.Trips.Ratio, 1e-12);
        Assert.Equal(
            (12.0, 22.0, 1.0),
            (change.Margin!.MedianBefore, change.Margin.MedianAfter, change.Margin.LargerShare)
        );
        Assert.StartsWith("Trips came less often after the change", change.Verdict, StringComparison.Ordinal);
        Assert.Contains("The margin is larger after the change", change.Verdict, StringComparison.Ordinal);
    }

    [Fact]
    public void What_chance_may_do_is_not_called_real()
    {
        ChangeReport change = ChangeComparison.Of(
            Change,
            (100, 100),
            Trips(before: 5, after: 3),
            Margins(hour => 10 + (hour % 5))
        );

        Assert.Contains(
            "Trips differ by no more than chance may do",
            change.Verdict,
            StringComparison.Ordinal
        );
        Assert.Contains(
            "Margins differ by no more than chance may do",
            change.Verdict,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public void Too_few_hours_are_told_and_not_judged()
    {
        ChangeReport change = ChangeComparison.Of(
            Change,
            (100, 3),
            [],
            Margins(hour => 10).Where(minute => minute.Milliseconds < Change + (3 * 3_600_000))
        );

        Assert.Null(change.Margin);
        Assert.Equal(
            "No trip came before or after. Margins cannot be compared: there are 100 hours of running before and 3 after, and it takes 8 on each side.",
            change.Verdict
        );
    }

    [Fact]
    public void A_trip_under_way_at_a_start_plays_no_part() =>
        Assert.Equal(
            0,
            ChangeComparison
                .Of(Change, (1, 1), [new TripRow(5, "full", null, UnderWay: true, "unknown", 0)], [])
                .Before.Trips
        );

    private static IEnumerable<TripRow> Trips(int before, int after) =>
        Enumerable
            .Range(0, before + after)
            .Select(i => new TripRow(i < before ? i : Change + i, "full", 10, false, "brake-drag", 0.9));

    private static IEnumerable<(long Milliseconds, double Margin)> Margins(Func<int, double> ofHour) =>
        Enumerable.Range(0, 200 * 60).Select(minute => (minute * 60_000L, ofHour(minute / 60)));
}
