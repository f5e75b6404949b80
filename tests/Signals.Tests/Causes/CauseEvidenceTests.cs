using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Oscillation;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.Causes;

public sealed class CauseEvidenceTests
{
    private static CauseSigns Swinging(Rhythm rhythm, double hertz) =>
        new()
        {
            Oscillation = OscillationEstimate.Nothing(rhythm) with
            {
                FrequencyHz = hertz,
                AmplitudePercent = 4.6,
            },
            SlowSwingPercent = 64,
            UsualSlowSwingPercent = 7,
        };

    [Fact]
    public void A_loop_that_hunts_is_told_by_its_own_swing_and_never_by_the_machines_cycle()
    {
        Assert.Equal(
            "Fill moves to and fro by 64 % more slowly than the cycle, usually 7 %.",
            CauseEvidence.Of(Cause.LoopHunting, Swinging(Rhythm.MachineCycle, 1.25))
        );
        Assert.StartsWith(
            "Fill swings by 4.6 % either way at 0.080 Hz",
            CauseEvidence.Of(Cause.LoopHunting, Swinging(Rhythm.ControlLoop, 0.08)),
            StringComparison.Ordinal
        );
    }

    private static readonly CauseSigns s_healthy = HealthySigns.All;

    /// <summary>A cause, signs that support it, and what is then said; the same cause says none of it of a healthy machine.</summary>
    private static readonly (Cause Cause, CauseSigns Signs, string Said)[] s_table =
    [
        (
            Cause.LoopHunting,
            s_healthy with
            {
                Oscillation = HealthySigns.Swinging(Rhythm.ControlLoop, 0.1),
            },
            "Fill swings by 8 % either way at 0.100 Hz, a rate that nothing which turns explains, growing 27 % a minute."
        ),
        (
            Cause.LoopHunting,
            s_healthy with
            {
                WrongWayShare = 0.25,
            },
            "In 25 % of the last seconds more film was asked for with fill above target, or less with it below."
        ),
        (
            Cause.RollEccentricity,
            s_healthy with
            {
                TurnPercent = 9,
            },
            "Unwind speed swings by 9 % once a turn of the roll, usually 0.5 %."
        ),
        (
            Cause.RollEccentricity,
            s_healthy with
            {
                SurplusPercent = 15,
            },
            "The unwind lately ran 15 % ahead of what it was asked for."
        ),
        (
            Cause.CycleSwing,
            s_healthy with
            {
                SwingPercent = 12,
            },
            "Fill swings 12 % within a cycle, usually 6 %."
        ),
        (
            Cause.CycleSwing,
            s_healthy with
            {
                SlowSwingPercent = 30,
                SlowSwingUnwindShare = 0.1,
            },
            "Fill moves to and fro by 30 % although the unwind gives what it always gave."
        ),
        (
            Cause.BrakeDrag,
            s_healthy with
            {
                BrakeBar = 2,
                UsualBrakeBar = 0,
            },
            "The brake has 2.0 bar of air with fill below full, usually 0.0 bar."
        ),
        (
            Cause.BrakeDrag,
            s_healthy with
            {
                BrakeShare = 0.4,
            },
            "The brake was on for 40 % of the running time although fill was below full."
        ),
        (
            Cause.BrakeDrag,
            s_healthy with
            {
                LackPercent = 6,
            },
            "The unwind delivers 6 % less than it is asked for, usually 0.5 %."
        ),
        (
            Cause.BrakeDrag,
            s_healthy with
            {
                QuickLackPercent = 40,
            },
            "The unwind delivers 40 % less than it is asked for."
        ),
        (
            Cause.RollOverrun,
            s_healthy with
            {
                OverrunPercent = 18,
            },
            "Fill gained 18 % after the last stop, usually 5 %."
        ),
        (
            Cause.SensorDrift,
            s_healthy with
            {
                ContradictionPercent = -8,
            },
            "Over the last minute the gap shows -8 % of fill that unwind and draw do not account for."
        ),
        (
            Cause.SensorNoise,
            s_healthy with
            {
                RoughnessPercent = 0.6,
            },
            "The gap jumps by 0.60 % from reading to reading, usually 0.10 %."
        ),
        (
            Cause.SensorStuck,
            s_healthy with
            {
                StillSeconds = 3,
            },
            "The gap has not moved one step for 3.0 s while film ran, usually at most 0.3 s."
        ),
        (
            Cause.SensorStuck,
            s_healthy with
            {
                StillShare = 0.4,
            },
            "In 40 % of readings the gap stands where it stood, usually in 2 %."
        ),
        (
            Cause.DriveSaturation,
            s_healthy with
            {
                CeilingShare = 0.8,
            },
            "The unwind ran level at 12.0 m/min in 80 % of the last seconds although fill asks for more."
        ),
        (Cause.RollEnding, s_healthy with { MinutesLeft = 2 }, "Film is left for 2.0 min."),
        (
            Cause.RollEnding,
            s_healthy with
            {
                MinutesLeft = double.NaN,
                DiameterMillimeters = 80,
            },
            "The roll is down to 80 mm."
        ),
        (
            Cause.FilmSnag,
            s_healthy with
            {
                RecentCatches = 2,
            },
            "The unwind was held and let go again 2 times within the last minute."
        ),
        (
            Cause.FilmSnag,
            s_healthy with
            {
                LostSharePercent = 6,
            },
            "6 % of the unwound film does not arrive in the accumulator."
        ),
        (
            Cause.FilmSnag,
            s_healthy with
            {
                UnwindFallPercentPerSecond = 500,
            },
            "The unwind was stopped at once, at 500 % of its speed a second."
        ),
        (
            Cause.FilmSnag,
            s_healthy with
            {
                FallPercentPerSecond = 12,
            },
            "Fill fell by 12.0 % in a second, usually at most 3.0 %."
        ),
        (
            Cause.SetpointError,
            s_healthy with
            {
                SetPointShiftPercent = 9,
            },
            "The taught set points were moved by 9 % of their span."
        ),
        (Cause.SetpointError, s_healthy with { TargetPercent = 62 }, "Target fill is 62 %, it was 50 %."),
        (
            Cause.SetpointError,
            s_healthy with
            {
                OffTargetPercent = 20,
            },
            "Mean fill lies 20 % off the target, usually 0 %, and the unwind follows what it is asked for."
        ),
        (
            Cause.SetpointError,
            s_healthy with
            {
                OffTargetPercent = 20,
                LackPercent = 30,
            },
            "Mean fill lies 20 % off the target, usually 0 %."
        ),
    ];

    public static TheoryData<string> Sentences => [.. s_table.Select(row => row.Said)];

    [Theory]
    [MemberData(nameof(Sentences))]
    public void Signs_that_support_a_cause_are_told_in_numbers(string said)
    {
        (Cause cause, CauseSigns signs, _) = s_table.Single(row => row.Said == said);

        Assert.Equal(said, CauseEvidence.Of(cause, signs));
    }

    public static TheoryData<Cause> Causes => [.. Enum.GetValues<Cause>()];

    /// <summary>A cause may come first because the last trip came from it: then nothing that is usual is held up as a proof.</summary>
    [Theory]
    [MemberData(nameof(Causes))]
    public void Of_a_healthy_machine_nothing_is_said_whatever_cause_is_named(Cause cause) =>
        Assert.Equal("", CauseEvidence.Of(cause, s_healthy));

    [Fact]
    public void A_swing_that_may_be_the_rolls_is_not_called_one_that_nothing_explains()
    {
        CauseSigns signs = s_healthy with
        {
            Oscillation = HealthySigns.Swinging(Rhythm.ControlLoop, 0.35),
            MayBeTurn = true,
        };

        Assert.Equal("", CauseEvidence.Of(Cause.LoopHunting, signs));
        Assert.Contains(
            "a rate that a roll may turn at",
            CauseEvidence.Of(Cause.RollEccentricity, signs),
            StringComparison.Ordinal
        );
    }

    [Property(MaxTest = 3_000)]
    public bool Whatever_the_signs_no_sentence_holds_a_number_that_is_none(int seed)
    {
        CauseSigns signs = HealthySigns.Random(seed);
        foreach (Cause cause in Enum.GetValues<Cause>())
        {
            string said = CauseEvidence.Of(cause, signs);
            bool isWhole =
                said.Length == 0 || (char.IsUpper(said[0]) || char.IsDigit(said[0])) && said[^1] == '.';
            if (
                !isWhole
                || said.Contains("NaN", StringComparison.Ordinal)
                || said.Contains("Infinity", StringComparison.Ordinal)
                || said.Contains('\u221e')
            )
                return false;
        }
        return true;
    }
}
