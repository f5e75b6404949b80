using System.Globalization;
using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// Why a cause is named, in one sentence with the numbers that decided. Each cause has its signs in the order in which
/// they convince; the first that stands out is told. Where none does, or its numbers are not known, nothing is said.
/// </summary>
internal static class CauseEvidence
{
    /// <summary>One sentence, or an empty string where no number supports one.</summary>
    public static string Of(Cause cause, in CauseSigns s) =>
        cause switch
        {
            Cause.LoopHunting => Hunting(s),
            Cause.RollEccentricity => OffItsMiddle(s),
            Cause.CycleSwing => Cycle(s),
            Cause.BrakeDrag => Drag(s),
            Cause.RollOverrun => Overrun(s),
            Cause.SensorDrift => Math.Abs(s.ContradictionPercent) > 5
                ? Say(
                    "Over the last minute the gap shows {0:+0;-0} % of fill that unwind and draw do not account for.",
                    s.ContradictionPercent
                )
                : "",
            Cause.SensorNoise => Than(
                "The gap jumps by {0:0.00} % from reading to reading, usually {1:0.00} %.",
                s.RoughnessPercent,
                s.UsualRoughnessPercent
            ),
            Cause.SensorStuck => Stuck(s),
            Cause.DriveSaturation => s.CeilingShare > 0.1
                ? Both(
                    "The unwind ran level at {1:0.0} m/min in {0:0} % of the last seconds although fill asks for more.",
                    100 * s.CeilingShare,
                    s.UnwindMetersPerMinute
                )
                : "",
            Cause.RollEnding => s.MinutesLeft < 8 ? Say("Film is left for {0:0.0} min.", s.MinutesLeft)
            : s.DiameterMillimeters < 1.15 * s.CoreDiameterMillimeters
                ? Say("The roll is down to {0:0} mm.", s.DiameterMillimeters)
            : "",
            Cause.FilmSnag => Snag(s),
            Cause.SetpointError => SetPoints(s),
            _ => "",
        };

    private static string Hunting(in CauseSigns s) =>
        s.Oscillation.Rhythm == Rhythm.ControlLoop && !s.MayBeTurn
            ? Rhythmic(s, ", a rate that nothing which turns explains")
        : s.WrongWayShare > 0.08
            ? Say(
                "In {0:0} % of the last seconds more film was asked for with fill above target, or less with it below.",
                100 * s.WrongWayShare
            )
        : s.Oscillation.IsOscillatingBesideCycle && s.Oscillation.Rhythm == Rhythm.Unknown ? Rhythmic(s, "")
        : Than(
            "Fill moves to and fro by {0:0} % more slowly than the cycle, usually {1:0} %.",
            s.SlowSwingPercent,
            s.UsualSlowSwingPercent
        );

    private static string OffItsMiddle(in CauseSigns s) =>
        s.TurnPercent - s.UsualTurnPercent > 2 ? OfTurn(s)
        : s.Oscillation.Rhythm == Rhythm.RollTurn
            ? Rhythmic(
                s,
                s.Oscillation.Multiple > 1
                    ? Format(", {0} times a turn of the roll", s.Oscillation.Multiple)
                    : ", once a turn of the roll"
            )
        : s.MayBeTurn ? Rhythmic(s, ", a rate that a roll may turn at")
        : s.SurplusPercent - s.UsualSurplusPercent > 5
            ? Say("The unwind lately ran {0:0} % ahead of what it was asked for.", s.SurplusPercent)
        : "";

    /// <summary>How the unwind's speed swings with the roll; an empty string where it does so no more than usual.</summary>
    public static string OfTurn(in CauseSigns s) =>
        Than(
            s.MayBeTurn
                ? "Unwind speed swings by {0:0.#} % at a rate that a roll may turn at, usually {1:0.#} %."
                : "Unwind speed swings by {0:0.#} % once a turn of the roll, usually {1:0.#} %.",
            s.TurnPercent,
            s.UsualTurnPercent
        );

    private static string Cycle(in CauseSigns s) =>
        s.SwingPercent > 1.3 * s.UsualSwingPercent
            ? Than(
                "Fill swings {0:0.#} % within a cycle, usually {1:0.#} %.",
                s.SwingPercent,
                s.UsualSwingPercent
            )
        : s.SlowSwingUnwindShare < 0.6 && s.SlowSwingPercent - s.UsualSlowSwingPercent > 4
            ? Say(
                "Fill moves to and fro by {0:0} % although the unwind gives what it always gave.",
                s.SlowSwingPercent
            )
        : "";

    private static string Drag(in CauseSigns s) =>
        s.BrakeBar - s.UsualBrakeBar > 0.3
            ? Than(
                "The brake has {0:0.0} bar of air with fill below full, usually {1:0.0} bar.",
                s.BrakeBar,
                s.UsualBrakeBar
            )
        : s.BrakeShare > 0.05
            ? Say(
                "The brake was on for {0:0} % of the running time although fill was below full.",
                100 * s.BrakeShare
            )
        : s.QuickLackPercent > 10 && s.QuickLackPercent > s.LackPercent
            ? Say("The unwind delivers {0:0} % less than it is asked for.", s.QuickLackPercent)
        : s.LackPercent > s.UsualLackPercent
            ? Than(
                "The unwind delivers {0:0.#} % less than it is asked for, usually {1:0.#} %.",
                s.LackPercent,
                s.UsualLackPercent
            )
        : s.UnwindDropPercent > 20 ? Say("Unwind speed fell by {0:0} % all at once.", s.UnwindDropPercent)
        : "";

    private static string Overrun(in CauseSigns s) =>
        Than(
            "Fill gained {0:0} % after the last stop, usually {1:0} %.",
            s.OverrunPercent,
            s.UsualOverrunPercent
        );

    private static string Stuck(in CauseSigns s) =>
        s.StillSeconds > 2 * s.UsualStillSeconds || !(s.StillShare - s.UsualStillShare > 0.15)
            ? Than(
                "The gap has not moved one step for {0:0.0} s while film ran, usually at most {1:0.0} s.",
                s.StillSeconds,
                s.UsualStillSeconds
            )
            : Than(
                "In {0:0} % of readings the gap stands where it stood, usually in {1:0} %.",
                100 * s.StillShare,
                100 * s.UsualStillShare
            );

    private static string Snag(in CauseSigns s) =>
        s.RecentCatches >= 1
            ? Say("The unwind was held and let go again {0:0} times within the last minute.", s.RecentCatches)
        : s.LostSharePercent > 2.5
            ? Say("{0:0} % of the unwound film does not arrive in the accumulator.", s.LostSharePercent)
        : s.UnwindFallPercentPerSecond - s.UsualUnwindFallPercentPerSecond > 120
            ? Say(
                "The unwind was stopped at once, at {0:0} % of its speed a second.",
                s.UnwindFallPercentPerSecond
            )
        : Than(
            "Fill fell by {0:0.0} % in a second, usually at most {1:0.0} %.",
            s.FallPercentPerSecond,
            s.UsualFallPercentPerSecond
        );

    private static string SetPoints(in CauseSigns s) =>
        s.SetPointShiftPercent > 2
            ? Say("The taught set points were moved by {0:0} % of their span.", s.SetPointShiftPercent)
        : Math.Abs(s.TargetPercent - s.UsualTargetPercent) > 5
            ? Both("Target fill is {0:0} %, it was {1:0} %.", s.TargetPercent, s.UsualTargetPercent)
        : Math.Abs(s.TargetPercent - 50) > 15
            ? Say("Target fill is {0:0} %; halfway is 50 %.", s.TargetPercent)
        : Than(
            s.LackPercent - s.UsualLackPercent < 2
                ? "Mean fill lies {0:0} % off the target, usually {1:0} %, and the unwind follows what it is asked for."
                : "Mean fill lies {0:0} % off the target, usually {1:0} %.",
            Math.Abs(s.OffTargetPercent),
            Math.Abs(s.UsualOffTargetPercent)
        );

    private static string Rhythmic(in CauseSigns s, string rate)
    {
        OscillationEstimate o = s.Oscillation;
        double growing = 100 * (Math.Exp(60 * o.GrowthPerSecond) - 1);
        string growth =
            growing > 1_000 ? ", growing more than tenfold a minute"
            : growing > 3 ? Format(", growing {0:0} % a minute", growing)
            : "";
        return double.IsFinite(o.FrequencyHz) && double.IsFinite(o.AmplitudePercent)
            ? Format("Fill swings by {0:0.#} % either way at {1:0.000} Hz", o.AmplitudePercent, o.FrequencyHz)
                + rate
                + growth
                + "."
            : "";
    }

    private static string Say(string format, double value) =>
        double.IsFinite(value) ? Format(format, value) : "";

    private static string Both(string format, double value, double other) =>
        double.IsFinite(value) && double.IsFinite(other) ? Format(format, value, other) : "";

    /// <summary>A value beyond what is usual; one that is not says nothing.</summary>
    private static string Than(string format, double value, double usual) =>
        value > usual ? Both(format, value, usual) : "";

    private static string Format(string format, params ReadOnlySpan<object?> values) =>
        string.Format(CultureInfo.InvariantCulture, format, values);
}
