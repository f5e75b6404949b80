using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.FilmPath;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;
using Dancerwatch.Signals.Roll;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.Signals;

/// <summary>The words of the contract: what each enumeration is called in events, topics and configuration.</summary>
public static class Codes
{
    public static string Code(this Condition condition) =>
        condition switch
        {
            Condition.LimitApproach => "limit-approach",
            Condition.TripLikely => "trip-likely",
            Condition.MarginLow => "margin-low",
            Condition.Oscillation => "oscillation",
            Condition.OffTarget => "off-target",
            Condition.DriveLimit => "drive-limit",
            Condition.RollOverrun => "roll-overrun",
            Condition.SensorSuspect => "sensor-suspect",
            Condition.RollEnding => "roll-ending",
            Condition.DataLost => "data-lost",
            _ => throw new ArgumentOutOfRangeException(nameof(condition), condition, "not a condition"),
        };

    public static string Code(this Cause cause) =>
        cause switch
        {
            Cause.Unknown => "unknown",
            Cause.LoopHunting => "loop-hunting",
            Cause.RollEccentricity => "roll-eccentricity",
            Cause.CycleSwing => "cycle-swing",
            Cause.BrakeDrag => "brake-drag",
            Cause.RollOverrun => "roll-overrun",
            Cause.SensorDrift => "sensor-drift",
            Cause.SensorNoise => "sensor-noise",
            Cause.SensorStuck => "sensor-stuck",
            Cause.DriveSaturation => "drive-saturation",
            Cause.RollEnding => "roll-ending",
            Cause.FilmSnag => "film-snag",
            Cause.SetpointError => "setpoint-error",
            _ => throw new ArgumentOutOfRangeException(nameof(cause), cause, "not a cause"),
        };

    public static string Code(this ConditionState state) =>
        state switch
        {
            ConditionState.Raised => "raised",
            ConditionState.Changed => "changed",
            ConditionState.Cleared => "cleared",
            _ => throw new ArgumentOutOfRangeException(nameof(state), state, "not a state"),
        };

    public static string Code(this Priority priority) =>
        priority switch
        {
            Priority.Low => "low",
            Priority.Medium => "medium",
            Priority.High => "high",
            _ => throw new ArgumentOutOfRangeException(nameof(priority), priority, "not a priority"),
        };

    public static string Code(this Quality quality) =>
        quality switch
        {
            Quality.Good => "good",
            Quality.Partial => "partial",
            Quality.Bad => "bad",
            _ => throw new ArgumentOutOfRangeException(nameof(quality), quality, "not a quality"),
        };

    /// <summary>Why there is no fill, or what is odd about it; null for nothing.</summary>
    public static string? Code(this FillFault fault) =>
        fault switch
        {
            FillFault.NoGap => "no-gap",
            FillFault.BadSetPoints => "bad-set-points",
            FillFault.OutOfSensorRange => "out-of-sensor-range",
            _ => null,
        };

    /// <summary>Where the roll's diameter comes from; null where it is not known.</summary>
    public static string? Code(this RollSource source) =>
        source switch
        {
            RollSource.Tag => "tag",
            RollSource.FilmUsed => "film-used",
            RollSource.Turns => "turns",
            _ => null,
        };

    /// <summary>"full", "empty", or null for neither.</summary>
    public static string? Code(this Side side) =>
        side switch
        {
            Side.Full => "full",
            Side.Empty => "empty",
            _ => null,
        };

    public static string Code(this Regime regime) =>
        regime switch
        {
            Regime.Unknown => "unknown",
            Regime.Stopped => "stopped",
            Regime.Starting => "starting",
            Regime.Running => "running",
            Regime.Stopping => "stopping",
            Regime.Tripped => "tripped",
            Regime.RollChange => "roll-change",
            _ => throw new ArgumentOutOfRangeException(nameof(regime), regime, "not a regime"),
        };

    public static string Code(this Rhythm rhythm) =>
        rhythm switch
        {
            Rhythm.None => "none",
            Rhythm.NotEnoughData => "not-enough-data",
            Rhythm.MachineCycle => "machine-cycle",
            Rhythm.RollTurn => "roll-turn",
            Rhythm.ControlLoop => "control-loop",
            Rhythm.Unknown => "unknown",
            _ => throw new ArgumentOutOfRangeException(nameof(rhythm), rhythm, "not a rhythm"),
        };

    public static string Code(this FilmPathVerdict verdict) =>
        verdict switch
        {
            FilmPathVerdict.NotEnoughData => "not-enough-data",
            FilmPathVerdict.AccumulatorFirst => "accumulator-first",
            FilmPathVerdict.LookElsewhere => "look-elsewhere",
            _ => throw new ArgumentOutOfRangeException(nameof(verdict), verdict, "not a verdict"),
        };

    /// <summary>What a signal is called in configurations and in the columns of traces.</summary>
    public static string Code(this Signal signal) =>
        signal switch
        {
            Signal.Gap => "gap",
            Signal.UnwindSpeed => "unwindSpeed",
            Signal.UnwindCommand => "unwindCommand",
            Signal.LineSpeed => "lineSpeed",
            Signal.CycleRate => "cycleRate",
            Signal.Running => "running",
            Signal.TargetFill => "targetFill",
            Signal.GapAtFull => "gapAtFull",
            Signal.GapAtEmpty => "gapAtEmpty",
            Signal.FullSideTrip => "fullSideTrip",
            Signal.EmptySideTrip => "emptySideTrip",
            Signal.BrakeOn => "brakeOn",
            Signal.BrakePressure => "brakePressure",
            Signal.RollDiameter => "rollDiameter",
            Signal.EdgePosition => "edgePosition",
            Signal.Product => "product",
            _ => throw new ArgumentOutOfRangeException(nameof(signal), signal, "not a signal"),
        };
}
