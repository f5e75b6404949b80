using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Oscillation;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.Causes;

public sealed class CauseRankerTests
{
    private static readonly CauseSigns s_healthy = HealthySigns.All;

    /// <summary>What a fault looks like, and what it is to be called first.</summary>
    private static readonly (string Looks, Cause Cause, CauseSigns Signs)[] s_table =
    [
        ("like a healthy machine", Cause.Unknown, s_healthy),
        (
            "swings at a rate of its own, fed by the unwind",
            Cause.LoopHunting,
            s_healthy with
            {
                Oscillation = HealthySigns.Swinging(Rhythm.ControlLoop, 0.1),
            }
        ),
        ("goes to and fro by the unwind", Cause.LoopHunting, s_healthy with { SlowSwingPercent = 30 }),
        (
            "goes to and fro although the unwind gives what it always gave",
            Cause.CycleSwing,
            s_healthy with
            {
                SlowSwingPercent = 30,
                SlowSwingUnwindShare = 0.05,
            }
        ),
        (
            "asks for more film while full and for less while empty",
            Cause.LoopHunting,
            s_healthy with
            {
                WrongWayShare = 0.3,
            }
        ),
        (
            "swings once a turn of the roll",
            Cause.RollEccentricity,
            s_healthy with
            {
                Oscillation = HealthySigns.Swinging(Rhythm.RollTurn, 0.35),
            }
        ),
        (
            "swings at a rate that a roll may turn at",
            Cause.RollEccentricity,
            s_healthy with
            {
                Oscillation = HealthySigns.Swinging(Rhythm.ControlLoop, 0.35),
                MayBeTurn = true,
            }
        ),
        (
            "has an unwind whose speed swings once a turn",
            Cause.RollEccentricity,
            s_healthy with
            {
                TurnPercent = 12,
            }
        ),
        (
            "is held once a turn, as a roll off its middle is",
            Cause.RollEccentricity,
            s_healthy with
            {
                TurnPercent = 12,
                RecentCatches = 3,
                QuickLackPercent = 25,
            }
        ),
        ("swings more within a cycle", Cause.CycleSwing, s_healthy with { SwingPercent = 14 }),
        (
            "delivers less than it is asked for",
            Cause.BrakeDrag,
            s_healthy with
            {
                LackPercent = 12,
                QuickLackPercent = 12,
            }
        ),
        (
            "has air at a brake that should have none",
            Cause.BrakeDrag,
            s_healthy with
            {
                BrakeBar = 2,
                UsualBrakeBar = 0,
            }
        ),
        ("gains film after a stop", Cause.RollOverrun, s_healthy with { OverrunPercent = 15 }),
        ("shows film that nobody gave", Cause.SensorDrift, s_healthy with { ContradictionPercent = 15 }),
        (
            "jumps from reading to reading",
            Cause.SensorNoise,
            s_healthy with
            {
                RoughnessPercent = 0.5,
                SwingPercent = 9,
            }
        ),
        ("has a gap that stands", Cause.SensorStuck, s_healthy with { StillSeconds = 3 }),
        (
            "has a gap that stands ever so often",
            Cause.SensorStuck,
            s_healthy with
            {
                StillShare = 0.5,
                ContradictionPercent = 8,
            }
        ),
        (
            "runs at its highest speed below target",
            Cause.DriveSaturation,
            s_healthy with
            {
                CeilingShare = 1,
                OffTargetPercent = -20,
            }
        ),
        ("is near the end of its roll", Cause.RollEnding, s_healthy with { MinutesLeft = 1 }),
        (
            "is held and let go, again and again",
            Cause.FilmSnag,
            s_healthy with
            {
                RecentCatches = 3,
                QuickLackPercent = 25,
            }
        ),
        ("loses film on the way", Cause.FilmSnag, s_healthy with { LostSharePercent = 12 }),
        (
            "is stopped at once",
            Cause.FilmSnag,
            s_healthy with
            {
                UnwindFallPercentPerSecond = 600,
                UsualUnwindFallPercentPerSecond = 20,
                UnwindDropPercent = 60,
                QuickLackPercent = 40,
            }
        ),
        (
            "is braked over some tenths of a second",
            Cause.BrakeDrag,
            s_healthy with
            {
                UnwindFallPercentPerSecond = 100,
                UsualUnwindFallPercentPerSecond = 20,
                UnwindDropPercent = 60,
                QuickLackPercent = 40,
            }
        ),
        ("has set points that were moved", Cause.SetpointError, s_healthy with { SetPointShiftPercent = 10 }),
        (
            "stays above its target and asks for no more",
            Cause.SetpointError,
            s_healthy with
            {
                OffTargetPercent = 25,
            }
        ),
    ];

    public static TheoryData<string> Looks => [.. s_table.Select(row => row.Looks)];

    [Theory]
    [MemberData(nameof(Looks))]
    public void What_looks_so_is_called_by_its_cause_first(string looks)
    {
        (_, Cause cause, CauseSigns signs) = s_table.Single(row => row.Looks == looks);

        Assert.Equal(cause, CauseRanker.Rank(signs).First.Cause);
    }

    [Fact]
    public void Every_cause_has_a_row_in_the_table_above() =>
        Assert.Equal(Enum.GetValues<Cause>(), s_table.Select(row => row.Cause).Distinct().Order());

    /// <summary>"Unknown" weighs e^0.8 and a cause without signs nothing.</summary>
    [Fact]
    public void A_confidence_is_its_scores_share_of_all_with_the_unexplained()
    {
        CauseRanking ranking = CauseRanker.Rank(s_healthy with { StillSeconds = 10 });

        double stuck = Math.Exp(5) - 1;
        Assert.Equal(Cause.SensorStuck, ranking.First.Cause);
        Assert.Equal(stuck / (stuck + Math.Exp(0.8)), ranking.First.Confidence, 1e-12);
        Assert.Equal(default, ranking.Second);
        Assert.Equal(default, ranking.Third);
    }

    [Fact]
    public void Unknown_takes_no_place_from_a_cause_that_could_be_looked_at()
    {
        CauseRanking ranking = CauseRanker.Rank(
            s_healthy with
            {
                StillSeconds = 10,
                LackPercent = 3, // a weak sign: less than what is unknown weighs
                OverrunPercent = 7.5,
            }
        );

        Assert.Equal(
            [Cause.SensorStuck, Cause.RollOverrun, Cause.BrakeDrag],
            [ranking.First.Cause, ranking.Second.Cause, ranking.Third.Cause]
        );
        Assert.True(ranking.Second.Confidence > ranking.Third.Confidence);
        Assert.True(ranking.Third.Confidence > 0);
    }

    [Fact]
    public void After_a_trip_its_cause_comes_first_for_a_moment_without_any_sign_and_is_then_forgotten()
    {
        Assert.Equal(Cause.BrakeDrag, AfterTrip(0).First.Cause);
        Assert.Equal(Cause.Unknown, AfterTrip(60).First.Cause);
        Assert.Equal(Cause.BrakeDrag, AfterTrip(60).Second.Cause);
        Assert.Equal(default, AfterTrip(600).Second);

        static CauseRanking AfterTrip(double seconds) =>
            CauseRanker.Rank(s_healthy with { TrippedBy = Cause.BrakeDrag, SinceTripSeconds = seconds });
    }

    [Fact]
    public void The_same_weak_sign_counts_for_more_after_a_trip_that_came_from_it()
    {
        CauseSigns weak = s_healthy with
        {
            LackPercent = 4.5,
            OverrunPercent = 10.75,
            SinceTripSeconds = 100,
        };

        Assert.Equal(Cause.RollOverrun, CauseRanker.Rank(weak).First.Cause);
        Assert.Equal(
            Cause.BrakeDrag,
            CauseRanker.Rank(weak with { TrippedBy = Cause.BrakeDrag }).First.Cause
        );
    }

    [Fact]
    public void Air_that_is_not_there_speaks_against_a_brake()
    {
        CauseSigns lack = s_healthy with { LackPercent = 8 };

        Assert.Equal(Cause.BrakeDrag, CauseRanker.Rank(lack).First.Cause);
        Assert.NotEqual(
            Cause.BrakeDrag,
            CauseRanker.Rank(lack with { BrakeBar = 0, UsualBrakeBar = 0 }).First.Cause
        );
    }

    [Property(MaxTest = 2_000)]
    public bool Whatever_the_signs_confidences_fall_sum_to_one_at_most_and_unknown_is_first_or_nowhere(
        int seed
    )
    {
        CauseRanking ranking = CauseRanker.Rank(HealthySigns.Random(seed));
        (RankedCause first, RankedCause second, RankedCause third) = (
            ranking.First,
            ranking.Second,
            ranking.Third
        );
        return first.Confidence > 0
            && first.Confidence + second.Confidence + third.Confidence <= 1 + 1e-9
            && third.Confidence >= 0
            && (first.Cause == Cause.Unknown || first.Confidence >= second.Confidence)
            && second.Confidence >= third.Confidence
            && (second.Cause != Cause.Unknown || second == default)
            && (third.Cause != Cause.Unknown || third == default);
    }

    [Fact]
    public void A_ranking_allocates_nothing()
    {
        double sum = 0;
        Assert.Equal(0, Allocated.Bytes(_ => sum += CauseRanker.Rank(s_healthy).First.Confidence));
        Assert.True(sum > 0);
    }
}
