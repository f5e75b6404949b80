using System.Globalization;
using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// A cause in words: one sentence with the numbers that decided, and what to look at first. A sentence whose numbers are
/// not known is not written.
/// </summary>
internal static class CauseText
{
    private const string LockOut = "Lock out as the machine's manual says before a hand goes near ";

    /// <summary>One sentence, or an empty string where no number supports one.</summary>
    public static string Evidence(Cause cause, in CauseSigns s) =>
        cause switch
        {
            Cause.LoopHunting when !s.Oscillation.IsOscillatingBesideCycle => Than(
                "Fill moves to and fro by {0:0} % more slowly than the cycle, usually {1:0} %.",
                s.SlowSwingPercent,
                s.UsualSlowSwingPercent
            ),
            Cause.LoopHunting or Cause.RollEccentricity => Rhythmic(s),
            Cause.CycleSwing => Than(
                "Fill swings {0:0.#} % within a cycle, usually {1:0.#} %.",
                s.SwingPercent,
                s.UsualSwingPercent
            ),
            Cause.BrakeDrag => Drag(s),
            Cause.RollOverrun => double.IsNaN(s.UsualOverrunPercent)
                ? Say("Fill gained {0:0} % after the last stop.", s.OverrunPercent)
                : Than(
                    "Fill gained {0:0} % after the last stop, usually {1:0} %.",
                    s.OverrunPercent,
                    s.UsualOverrunPercent
                ),
            Cause.SensorDrift => Say(
                "Over the last minute the gap shows {0:+0;-0} % of fill that unwind and draw do not account for.",
                s.ContradictionPercent
            ),
            Cause.SensorNoise => Than(
                "The gap jumps by {0:0.00} % from reading to reading, usually {1:0.00} %.",
                s.RoughnessPercent,
                s.UsualRoughnessPercent
            ),
            Cause.SensorStuck => Than(
                "The gap has not moved one step for {0:0.0} s while film ran, usually at most {1:0.0} s.",
                s.StillSeconds,
                s.UsualStillSeconds
            ),
            Cause.DriveSaturation => Than(
                "The unwind runs level at {1:0.0} m/min in {0:0} % of the last seconds although fill asks for more.",
                100 * s.CeilingShare,
                s.UnwindMetersPerMinute
            ),
            Cause.RollEnding => double.IsNaN(s.MinutesLeft)
                ? Say("The roll is down to {0:0} mm.", s.DiameterMillimeters)
                : Say("Film is left for {0:0.0} min.", s.MinutesLeft),
            Cause.FilmSnag => s.RecentCatches >= 1
                ? Say(
                    "The unwind was held and let go again {0:0} times within the last minute.",
                    s.RecentCatches
                )
            : s.LostSharePercent > 2.5
                ? Say("{0:0} % of the unwound film does not arrive in the accumulator.", s.LostSharePercent)
            : Than(
                "Fill fell by {0:0.0} % in a second, usually at most {1:0.0} %.",
                s.FallPercentPerSecond,
                s.UsualFallPercentPerSecond
            ),
            Cause.SetpointError => SetPoints(s),
            _ => "",
        };

    /// <summary>What to look at first, and the caution that goes with it.</summary>
    public static string Check(Cause cause) =>
        cause switch
        {
            Cause.LoopHunting =>
                "Look at the dancer's gain and damping in the controller, then at play in the dancer's bearings and the sensor's mounting.",
            Cause.RollEccentricity => "Look whether the roll is round and seated on its chuck. "
                + LockOut
                + "the roll.",
            Cause.CycleSwing =>
                "Look at bag length, speed and the pull's ramp in the recipe, and at spring or air of the dancer. "
                    + LockOut
                    + "spring or air.",
            Cause.BrakeDrag =>
                "Look whether the spindle brake releases fully while running: air pressure, spring, linkage, worn lining. "
                    + LockOut
                    + "brake, spring or air.",
            Cause.RollOverrun =>
                "Look whether the spindle brake grips at a stop: air pressure, spring, worn or oily lining. "
                    + LockOut
                    + "brake, spring or air.",
            Cause.SensorDrift =>
                "Compare the gap with the dancer at both ends to the taught set points; look at the sensor's mounting, temperature and cam. "
                    + LockOut
                    + "the dancer.",
            Cause.SensorNoise =>
                "Look at the sensor's cable, shield and connector, and at welding or drives beside it.",
            Cause.SensorStuck =>
                "Look whether the dancer moves freely and the sensor's signal follows it: plug, cable, broken cam. "
                    + LockOut
                    + "the dancer.",
            Cause.DriveSaturation =>
                "Look at the unwind's highest speed and current limit against the line's speed, and at the drive's warnings.",
            Cause.RollEnding => "Prepare the next roll.",
            Cause.FilmSnag =>
                "Look along the film path from roll to machine for film that sticks, tears or has jumped a roller. "
                    + LockOut
                    + "a nip.",
            Cause.SetpointError =>
                "Compare target fill and both taught set points with the machine's sheet; teach them again as its manual says.",
            _ => "Watch the dancer for a few cycles from outside the guard: does it swing, sink, or stand?",
        };

    private static string Rhythmic(in CauseSigns s)
    {
        OscillationEstimate o = s.Oscillation;
        string rhythm = o.Rhythm switch
        {
            Rhythm.RollTurn when o.Multiple > 1 => Format(", {0} times a turn of the roll", o.Multiple),
            Rhythm.RollTurn => ", once a turn of the roll",
            Rhythm.ControlLoop => ", a rate that nothing which turns explains",
            _ => "",
        };
        string growth =
            o.GrowthPerSecond > 0.0005
                ? Format(", growing {0:0} % a minute", 100 * (Math.Exp(60 * o.GrowthPerSecond) - 1))
                : "";
        return double.IsFinite(o.FrequencyHz) && double.IsFinite(o.AmplitudePercent)
            ? Format("Fill swings by {0:0.#} % either way at {1:0.000} Hz", o.AmplitudePercent, o.FrequencyHz)
                + rhythm
                + growth
                + "."
            : "";
    }

    private static string Drag(in CauseSigns s) =>
        s.BrakeShare > 0.05
            ? Say(
                "The brake was on for {0:0} % of the running time although fill was below full.",
                100 * s.BrakeShare
            )
        : s.QuickLackPercent > 10 && s.QuickLackPercent > s.LackPercent
            ? Say("The unwind delivers {0:0} % less than it is asked for.", s.QuickLackPercent)
        : double.IsFinite(s.LackPercent)
            ? Than(
                "The unwind delivers {0:0.#} % less than it is asked for, usually {1:0.#} %.",
                s.LackPercent,
                s.UsualLackPercent
            )
        : Say("Unwind speed fell by {0:0} % all at once.", s.UnwindDropPercent);

    private static string SetPoints(in CauseSigns s) =>
        s.SetPointShiftPercent > 2
            ? Say("The taught set points were moved by {0:0} % of their span.", s.SetPointShiftPercent)
        : Math.Abs(s.TargetPercent - s.UsualTargetPercent) > 5
            ? Than("Target fill is {0:0} %, it was {1:0} %.", s.TargetPercent, s.UsualTargetPercent)
        : Math.Abs(s.TargetPercent - 50) > 15
            ? Say("Target fill is {0:0} %; halfway is 50 %.", s.TargetPercent)
        : Than(
            double.IsNaN(s.LackPercent)
                ? "Mean fill lies {0:0} % off the target, usually {1:0} %."
                : "Mean fill lies {0:0} % off the target, usually {1:0} %, and the unwind follows what it is asked for.",
            Math.Abs(s.OffTargetPercent),
            Math.Abs(s.UsualOffTargetPercent)
        );

    private static string Say(string format, double value) =>
        double.IsFinite(value) ? Format(format, value) : "";

    private static string Than(string format, double value, double usual) =>
        double.IsFinite(value) && double.IsFinite(usual) ? Format(format, value, usual) : "";

    private static string Format(string format, params ReadOnlySpan<object?> values) =>
        string.Format(CultureInfo.InvariantCulture, format, values);
}
