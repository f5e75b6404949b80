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

    /// <summary>Fill's peak-to-peak within a block, %.</summary>
    public double SwingPercent { get; init; }
    public double UsualSwingPercent { get; init; }

    /// <summary>Root mean square of the fill's second difference, %.</summary>
    public double RoughnessPercent { get; init; }
    public double UsualRoughnessPercent { get; init; }

    /// <summary>How long the gap has not moved by one step while the machine runs, s.</summary>
    public double StillSeconds { get; init; }

    /// <summary>Longest that it usually does not move, s.</summary>
    public double UsualStillSeconds { get; init; }

    /// <summary>Share of the asked speed that the unwind does not deliver, %.</summary>
    public double LackPercent { get; init; }
    public double UsualLackPercent { get; init; }

    /// <summary>Share of the last few blocks in which the unwind ran level at its limit, 0 to 1.</summary>
    public double CeilingShare { get; init; }

    /// <summary>Share of the last minute's blocks in which the unwind was at its limit or delivered clearly less than asked, 0 to 1.</summary>
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

    /// <summary>Share of the asked speed that the unwind does not deliver just now, %.</summary>
    public double QuickLackPercent { get; init; }

    /// <inheritdoc cref="CatchCounter.Recent"/>
    public double RecentCatches { get; init; }

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
