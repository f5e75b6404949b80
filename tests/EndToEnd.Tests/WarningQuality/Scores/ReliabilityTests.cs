using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Bench.WarningQuality.Scores;

namespace Dancerwatch.EndToEnd.Tests.WarningQuality.Scores;

public sealed class ReliabilityTests
{
    /// <summary>Foretold 0.1 0.9 0.8 0.3 0.6, came 0 1 1 0 0.</summary>
    private static readonly RunResult s_run = MadeUpRun.Of(
        endSeconds: 5_000,
        trips: [1_100, 2_300],
        foretold: [(0, 0.1), (1_000, 0.9), (2_000, 0.8), (3_000, 0.3), (4_000, 0.6)]
    );

    /// <summary>Mean of 0.01 0.01 0.04 0.09 0.36 is 0.102 (Brier 1950; computed apart from this program).</summary>
    [Fact]
    public void The_Brier_score_is_the_mean_square_of_what_was_foretold_less_what_came()
    {
        Reliability reliability = Of(s_run);

        Assert.Equal(5, reliability.Cases);
        Assert.Equal(0.102, reliability.Brier, 1e-12);
        Assert.Equal(0.4 * 0.6, reliability.BrierOfMean, 1e-12);
    }

    [Fact]
    public void Each_tenth_of_probability_has_its_cases_what_was_foretold_and_what_came()
    {
        Reliability reliability = Of(s_run, MadeUpRun.Of(1_000, [], [(0, 0.85), (10, 1)]));
        (int Cases, double Foretold, double Came)[] rows = [.. reliability.Rows];

        Assert.Equal([0, 1, 0, 1, 0, 0, 1, 0, 2, 2], rows.Select(r => r.Cases));
        Assert.Equal((2, 0.825, 0.5), (rows[8].Cases, Math.Round(rows[8].Foretold, 9), rows[8].Came));
        Assert.Equal((2, 0.95, 0.5), (rows[9].Cases, Math.Round(rows[9].Foretold, 9), rows[9].Came));
        Assert.True(double.IsNaN(rows[0].Foretold) && double.IsNaN(rows[0].Came));
    }

    [Fact]
    public void What_nobody_watched_for_five_minutes_counts_only_where_the_trip_came()
    {
        Assert.Equal(0, Of(MadeUpRun.Of(299, [], [(0, 0.5)])).Cases);
        Assert.Equal(1, Of(MadeUpRun.Of(300, [], [(0, 0.5)])).Cases);
        Assert.Equal(0.25, Of(MadeUpRun.Of(200, [150], [(0, 0.5)])).Brier, 1e-12);
    }

    [Theory]
    [InlineData(300, 0.04)] // came, though just
    [InlineData(300.1, 0.64)]
    [InlineData(0, 0.64)] // the trip was before
    public void A_trip_counts_within_five_minutes_after(double tripSeconds, double brier) =>
        Assert.Equal(brier, Of(MadeUpRun.Of(1_000, [tripSeconds], [(0, 0.8)])).Brier, 1e-12);

    private static Reliability Of(params RunResult[] runs) => new(runs, MadeUpRun.Watcher);
}
