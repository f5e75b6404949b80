using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// The numbers causes are judged by. NaN where a signal is missing or too little was seen. "Usual" is what the same number
/// was before (see <see cref="Usual"/>).
/// </summary>
internal readonly record struct CauseSigns
{
    public OscillationEstimate Oscillation { get; init; }

    /// <summary>
    /// No diameter is known, and the oscillation is fed by the unwind at a rate that some roll turns at: it may be the roll. A
    /// loop with seconds of lag in it hunts more slowly.
    /// </summary>
    public bool MayBeTurn { get; init; }

    /// <summary>Fill's peak-to-peak within a block, %.</summary>
    public double SwingPercent { get; init; }
    public double UsualSwingPercent { get; init; }

    /// <summary>What the last trip is thought to have come from; <see cref="Cause.Unknown"/> before the first.</summary>
    public Cause TrippedBy { get; init; }

    /// <summary>Running time since, s.</summary>
    public double SinceTripSeconds { get; init; }

    /// <inheritdoc cref="Forecast.Roughness"/>
    public double RoughnessPercent { get; init; }
    public double UsualRoughnessPercent { get; init; }

    /// <summary>One step of the gap, %.</summary>
    public double ResolutionPercent { get; init; }

    /// <summary>Roughness against the usual one; a step of the gap is added to both, for less cannot be seen.</summary>
    public double RoughnessRatio =>
        (RoughnessPercent + ResolutionPercent) / (UsualRoughnessPercent + ResolutionPercent);

    /// <summary>How long the gap has not moved by one step while the machine runs, s.</summary>
    public double StillSeconds { get; init; }

    /// <summary>Longest that it usually does not move, s.</summary>
    public double UsualStillSeconds { get; init; }

    /// <summary>Share of the asked speed that the unwind does not deliver, %.</summary>
    public double LackPercent { get; init; }
    public double UsualLackPercent { get; init; }

    /// <summary>Share of the last few blocks in which the unwind ran level at its limit, 0 to 1.</summary>
    public double CeilingShare { get; init; }

    /// <summary>
    /// Share of the blocks of the last half minute in which the unwind was at its limit or delivered clearly less than asked, and
    /// fill did not come back, 0 to 1.
    /// </summary>
    public double StrainShare { get; init; }

    /// <summary>How far the unwind just fell below its own mean of before, %.</summary>
    public double UnwindDropPercent { get; init; }
    public double UnwindMetersPerMinute { get; init; }

    /// <summary>Share of running time with the brake applied, 0 to 1.</summary>
    public double BrakeShare { get; init; }

    /// <summary>Fill gained after the last stop, %.</summary>
    public double OverrunPercent { get; init; }
    public double UsualOverrunPercent { get; init; }

    /// <summary>How much more than usual that is, %; 0 where what is usual is not known yet.</summary>
    public double OverrunGrowthPercent =>
        double.IsNaN(UsualOverrunPercent)
            ? 0
            : Math.Max(0, OverrunPercent - Math.Max(0, UsualOverrunPercent));

    /// <summary>Highest fill after the last stop, %.</summary>
    public double FillAfterStopPercent { get; init; }

    /// <inheritdoc cref="FilmBook.ContradictionPercent"/>
    public double ContradictionPercent { get; init; }

    /// <inheritdoc cref="FilmBook.LostSharePercent"/>
    public double LostSharePercent { get; init; }

    /// <inheritdoc cref="SlowSwing.Percent"/>
    public double SlowSwingPercent { get; init; }
    public double UsualSlowSwingPercent { get; init; }

    /// <inheritdoc cref="SlowSwing.UnwindShare"/>
    public double SlowSwingUnwindShare { get; init; }

    /// <summary>Share of the asked speed that the unwind does not deliver just now, %.</summary>
    public double QuickLackPercent { get; init; }

    /// <inheritdoc cref="WrongWay.Share"/>
    public double WrongWayShare { get; init; }

    /// <inheritdoc cref="WrongWay.ShortShare"/>
    public double ShortShare { get; init; }

    /// <inheritdoc cref="CatchCounter.Recent"/>
    public double RecentCatches { get; init; }

    /// <inheritdoc cref="TurnModulation.Percent"/>
    public double TurnPercent { get; init; }
    public double UsualTurnPercent { get; init; }

    /// <inheritdoc cref="RecentSurplus.Percent"/>
    public double SurplusPercent { get; init; }
    public double UsualSurplusPercent { get; init; }

    /// <inheritdoc cref="UnwindFall.PercentPerSecond"/>
    public double UnwindFallPercentPerSecond { get; init; }
    public double UsualUnwindFallPercentPerSecond { get; init; }

    /// <summary>Share of readings whose gap is that of the reading before, 0 to 1.</summary>
    public double StillShare { get; init; }
    public double UsualStillShare { get; init; }

    /// <summary>Air at the brake while fill is where it should have none, bar.</summary>
    public double BrakeBar { get; init; }
    public double UsualBrakeBar { get; init; }

    /// <inheritdoc cref="SetPointTracker.OffsetPercent"/>
    public double SetPointOffsetPercent { get; init; }

    /// <summary>The side at which the gap is small: where a sensor that reads nothing seems to be.</summary>
    public Side SmallGapSide { get; init; }

    /// <summary>Mean fill less target, %.</summary>
    public double OffTargetPercent { get; init; }
    public double UsualOffTargetPercent { get; init; }

    /// <summary>Target fill in force, %, and the one before it was last changed.</summary>
    public double TargetPercent { get; init; }
    public double UsualTargetPercent { get; init; }

    /// <summary>How far the set points were moved, % of the first span, the larger of the two ends.</summary>
    public double SetPointShiftPercent { get; init; }

    public double MinutesLeft { get; init; }
    public double DiameterMillimeters { get; init; }
    public double CoreDiameterMillimeters { get; init; }

    /// <summary>Fastest fall of fill over a block among the last few, %/s, counted positive.</summary>
    public double FallPercentPerSecond { get; init; }
    public double UsualFallPercentPerSecond { get; init; }
}
