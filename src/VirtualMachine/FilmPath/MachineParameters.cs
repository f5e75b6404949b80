namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>What holds the roll near full.</summary>
public enum BrakeKind
{
    /// <summary>Linked to the dancer by springs: torque rises with the dancer's position, whatever the controller thinks.</summary>
    SpringLinked,

    /// <summary>Worked by air: the controller switches it by fill, pressure follows with a lag.</summary>
    Air,
}

/// <summary>
/// One packaging machine's unwind, healthy as given. The defaults are a middling machine; <see cref="Random"/> draws one
/// from the trade's ranges.
/// </summary>
public sealed record MachineParameters
{
    public double RollDiameterMillimeters { get; init; } = 350;
    public double CoreDiameterMillimeters { get; init; } = 76;
    public double FilmThicknessMicrometers { get; init; } = 50;
    public double FilmWidthMillimeters { get; init; } = 350;
    public double FilmDensityKilogramsPerCubicMeter { get; init; } = 920;

    /// <summary>Offset of the roll's middle from the spindle, mm. A fresh roll is seldom perfect.</summary>
    public double EccentricityMillimeters { get; init; }

    public double CyclesPerMinute { get; init; } = 60;
    public double BagLengthMillimeters { get; init; } = 200;

    /// <summary>Share of a cycle during which film is pulled, 0 to 1.</summary>
    public double DrawShare { get; init; } = 0.5;

    /// <summary>Film stored between empty and full.</summary>
    public double StorageMillimeters { get; init; } = 1200;
    public double DancerNaturalHertz { get; init; } = 4;
    public double DancerDampingRatio { get; init; } = 0.7;

    public double TargetFillPercent { get; init; } = 50;

    /// <summary>Trim of the unwind, as share of the missing film made good per second, 1/s.</summary>
    public double ProportionalGainPerSecond { get; init; } = 0.3;

    /// <summary>Reset time of a PI drive, s; infinite for a P drive.</summary>
    public double ResetSeconds { get; init; } = double.PositiveInfinity;

    public double MaximumUnwindMetersPerMinute { get; init; } = 25;
    public double UnwindSlewMetersPerMinutePerSecond { get; init; } = 20;

    /// <summary>Lag from the drive's ramp to its speed, beside the roll's own inertia, s.</summary>
    public double DriveLagSeconds { get; init; } = 0.2;

    /// <summary>Most that the motor gives at the spindle, either way.</summary>
    public double DriveTorqueNewtonMeters { get; init; } = 12;

    /// <summary>Slip at full torque, % of the spindle's speed at top film speed on the bare core.</summary>
    public double DriveSlipPercent { get; init; } = 5;

    /// <summary>Film speed the drive gives over film speed asked for, without load: how well it knows its roll.</summary>
    public double DriveCalibration { get; init; } = 1;
    public double BearingDragNewtonMeters { get; init; } = 0.15;

    public SpeedSource SpeedSource { get; init; } = SpeedSource.Roller;

    /// <summary>Unwind speed as read over unwind speed as it is.</summary>
    public double SpeedCalibration { get; init; } = 1;

    public BrakeKind Brake { get; init; } = BrakeKind.SpringLinked;
    public double BrakeTorqueNewtonMeters { get; init; } = 20;

    /// <summary>Fill from which the brake bears, %; a spring-linked one holds fully 10 % above.</summary>
    public double BrakeFromPercent { get; init; } = 88;

    /// <summary>The brake was fitted the wrong way round: it bears as far from empty as it should from full.</summary>
    public bool BrakeOnWrongSide { get; init; }

    /// <summary>Gap at 0 %, counts of a 12-bit input; above <see cref="GapAtFullCounts"/> where the gap shrinks with fill.</summary>
    public double GapAtEmptyCounts { get; init; } = 600;
    public double GapAtFullCounts { get; init; } = 3500;

    /// <summary>What was taught as the gap at 0 %, counts; NaN: the true one.</summary>
    public double TaughtGapAtEmptyCounts { get; init; } = double.NaN;

    /// <summary>What was taught as the gap at 100 %, counts; NaN: the true one. Swapped with the other, fill reads backwards.</summary>
    public double TaughtGapAtFullCounts { get; init; } = double.NaN;

    /// <summary>Standard deviation of the gap's noise.</summary>
    public double GapNoiseCounts { get; init; } = 2;

    /// <summary>How far the cam's middle departs from a straight line, % of fill; its ends are true.</summary>
    public double CamBowPercent { get; init; }

    /// <summary>Lost motion between dancer and cam, % of fill: the cam follows that much late after each turn of direction.</summary>
    public double CamPlayPercent { get; init; }

    public double OvertravelPercent { get; init; } = 5;
    public double TripHoldSeconds { get; init; } = 0.5;

    /// <summary>Standard deviation of the film edge's own slow wander.</summary>
    public double EdgeWanderMillimeters { get; init; } = 0.2;

    /// <summary>How far a roll wound askew leads the edge to either side once a turn.</summary>
    public double EdgeMillimetersPerTurn { get; init; } = 0.05;

    /// <summary>Where a standing dancer leads the film edge in the end, by how far it is off its target.</summary>
    public double EdgeMillimetersPerPercentOfFill { get; init; } = 0.01;

    /// <summary>A healthy machine drawn from the trade's ranges; the same seed gives the same machine.</summary>
    public static MachineParameters Random(int seed) => TradeRanges.Draw(seed);

    /// <summary>Mean film speed at the nominal cycle rate, m/min.</summary>
    public double LineMetersPerMinute => CyclesPerMinute * BagLengthMillimeters / 1000;

    /// <summary>Fill's peak-to-peak swing within a cycle if the unwind ran at constant speed, %.</summary>
    public double CycleSwingPercent => 100 * BagLengthMillimeters * (1 - DrawShare) / StorageMillimeters;

    /// <summary>Fill as a straight line through the set points reads it off the bowed cam, %.</summary>
    /// <param name="truePercent">Where the dancer is, %.</param>
    public double StraightPercent(double truePercent)
    {
        double along = Math.Clamp(truePercent / 100, 0, 1);
        return truePercent + (CamBowPercent * 4 * along * (1 - along));
    }
}
