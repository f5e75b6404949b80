using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Regimes;
using Dancerwatch.Signals.Roll;

namespace Dancerwatch.Signals.Causes;

/// <summary>Gathers <see cref="CauseSigns"/>: a little at each reading, most at the end of each block. Memory fixed.</summary>
internal sealed class SignTracker
{
    private const int ShortBlocks = 8;
    private const double QuickSeconds = 0.2;
    private const int CeilingBlocks = 10;
    private const int MinuteBlocks = 60;

    /// <summary>The unwind runs level when it moves less than this share of its speed within a block.</summary>
    private const double LevelShare = 0.01;

    /// <summary>The unwind clearly lags when it delivers this much less than asked for beyond what is usual, %.</summary>
    private const double ClearLackPercent = 8;

    /// <summary>Near full the brake bears by design; below this it should not, %.</summary>
    private const double BrakeIdleBelowPercent = 75;

    /// <summary>A drop of the unwind is new from this many times the largest of the last minute on.</summary>
    private const double NewDropFactor = 1.5;

    /// <summary>A level unwind moves less than this share of what it usually moves.</summary>
    private const double UsualRangeShare = 0.3;

    /// <summary>Below target by this much a healthy unwind would speed up, %.</summary>
    private const double ClearlyBelowPercent = 2;

    private readonly RollSettings _roll;
    private readonly OverrunTracker _overrun = new();
    private readonly CatchCounter _catches = new();
    private readonly StillTracker _still;
    private readonly SetPointTracker _setPoints = new();
    private readonly RecentMedian _swing = new(ShortBlocks);
    private readonly RecentMedian _roughness = new(ShortBlocks);
    private readonly RecentMedian _lack = new(ShortBlocks);
    private readonly RecentMedian _brake = new(ShortBlocks);
    private readonly RecentMedian _offTarget = new(ShortBlocks);
    private readonly FilmBook _book = new();
    private readonly SlowSwing _slowSwing = new();
    private readonly Usual _usualSwing = new();
    private readonly Usual _usualRoughness = new();
    private readonly Usual _usualLack = new();
    private readonly Usual _usualOffTarget = new();
    private readonly Usual _usualSlowSwing = new();
    private readonly Usual _usualFall = new();
    private readonly Usual _usualRange = new();
    private readonly RecentExtremes _usualDrop = new();
    private readonly bool[] _ceiling = new bool[CeilingBlocks];
    private readonly bool[] _strain = new bool[MinuteBlocks];
    private int _blocks;
    private double _fall;
    private double _highestDrop;
    private double _unwindDrop;
    private double _quickLack = double.NaN;
    private FilmBlock _last;

    public SignTracker(MachineSettings settings)
    {
        FillSettings fill = settings.Fill;
        _roll = settings.Roll;
        _still = new StillTracker(100 * fill.GapResolution / Math.Abs(fill.GapAtFull - fill.GapAtEmpty));
    }

    public CauseSigns Signs { get; private set; }

    /// <inheritdoc cref="SetPointTracker.OffsetPercent"/>
    public double SetPointOffsetPercent => _setPoints.OffsetPercent;

    /// <summary>Takes any reading with a finite fill.</summary>
    public void Add(
        double elapsedSeconds,
        in FillEstimate fill,
        in RegimeEstimate regime,
        FilmFlow flow,
        double unwind,
        double command
    )
    {
        _quickLack = QuickShare(_quickLack, 100 * (1 - unwind / command), elapsedSeconds);
        _setPoints.Add(fill, regime.Regime);
        _overrun.Add(elapsedSeconds, fill, flow.CycleMean, unwind, regime.Regime);
        if (regime.CountsForStatistics)
        {
            _still.Add(elapsedSeconds, fill.Percent);
            _catches.Add(elapsedSeconds, unwind, command);
        }
        else
        {
            _still.Restart();
            _catches.Pause();
        }
    }

    /// <summary>The next block does not follow on the last one.</summary>
    public void Break()
    {
        _book.Break();
        _slowSwing.Clear();
    }

    /// <summary>Another product: what was usual is no longer.</summary>
    public void ForgetUsual()
    {
        _usualSwing.Clear();
        _usualRoughness.Clear();
        _usualLack.Clear();
        _usualOffTarget.Clear();
        _usualSlowSwing.Clear();
        _book.Clear();
        _usualFall.Clear();
        _usualRange.Clear();
    }

    /// <summary>Takes a closed block of running.</summary>
    /// <param name="balancePercentPerMeterPerMinute">What 1 m/min more in than out does to fill, %/s; NaN where the storage is unknown.</param>
    public void Add(in FilmBlock block, double targetPercent, double balancePercentPerMeterPerMinute)
    {
        _last = block;
        double swing = block.Swing - Math.Abs(block.FillChange);
        _swing.Add(swing);
        _roughness.Add(block.Roughness);
        _brake.Add(block.HighestFill < BrakeIdleBelowPercent ? block.BrakeShare : 0);
        double lack = 100 * (1 - block.MeanUnwind / block.MeanCommand);
        _lack.Add(lack);
        double offTarget = block.MeanFill - targetPercent;
        _offTarget.Add(offTarget);
        double rate = block.FillChange / block.DurationSeconds;
        _book.Add(block, balancePercentPerMeterPerMinute);
        _slowSwing.Add(block);
        _fall = Math.Max(-rate, 0.7 * _fall);
        bool atCeiling = IsAtCeiling(block, offTarget);
        _ceiling[_blocks % CeilingBlocks] = atCeiling;
        _strain[_blocks % MinuteBlocks] = atCeiling || lack - UsualLack > ClearLackPercent;
        _blocks++;

        _usualDrop.Add(0, _highestDrop);
        _highestDrop = 0;
        _usualSwing.Add(swing);
        _usualRoughness.Add(block.Roughness);
        _usualLack.Add(lack);
        _usualOffTarget.Add(offTarget);
        _usualSlowSwing.Add(_slowSwing.Percent);
        _usualFall.Add(Math.Abs(rate));
        _usualRange.Add(SpeedRange(block));
    }

    /// <summary>Puts the numbers together.</summary>
    public void Gather(
        in FillEstimate fill,
        in OscillationEstimate oscillation,
        in RollEstimate roll,
        FilmFlow flow
    )
    {
        FollowDrop(flow);
        Signs = new CauseSigns
        {
            Oscillation = oscillation,
            SwingPercent = _swing.Value,
            UsualSwingPercent = _usualSwing.Value,
            RoughnessPercent = _roughness.Value,
            UsualRoughnessPercent = _usualRoughness.Value,
            StillSeconds = _still.Seconds,
            UsualStillSeconds = _still.UsualSeconds,
            LackPercent = _lack.Value,
            UsualLackPercent = UsualLack,
            CeilingShare = Share(_ceiling),
            StrainShare = Share(_strain),
            UnwindDropPercent = _unwindDrop,
            QuickLackPercent = _quickLack,
            RecentCatches = _catches.Recent,
            UnwindMetersPerMinute = _last.MeanUnwind,
            BrakeShare = _brake.Value,
            OverrunPercent = _overrun.LastPercent,
            UsualOverrunPercent = _overrun.UsualPercent,
            FillAfterStopPercent = _overrun.HighestPercent,
            ContradictionPercent = _book.ContradictionPercent,
            LostSharePercent = _book.LostSharePercent,
            SlowSwingPercent = _slowSwing.Percent,
            UsualSlowSwingPercent = _usualSlowSwing.Value,
            SetPointOffsetPercent = _setPoints.OffsetPercent,
            SmallGapSide = fill.GapAtFull < fill.GapAtEmpty ? Side.Full : Side.Empty,
            OffTargetPercent = _offTarget.Value,
            UsualOffTargetPercent = _usualOffTarget.Value,
            TargetPercent = fill.TargetPercent,
            UsualTargetPercent = _setPoints.FirstTargetPercent,
            SetPointShiftPercent = _setPoints.ShiftPercent,
            MinutesLeft = roll.MinutesLeft,
            DiameterMillimeters = roll.DiameterMillimeters,
            CoreDiameterMillimeters = _roll.CoreDiameterMillimeters,
            FallPercentPerSecond = _fall,
            UsualFallPercentPerSecond = _usualFall.Value + 3 * _usualFall.Spread,
        };
    }

    /// <summary>Follows a share within a few tenths of a second.</summary>
    private static double QuickShare(double mean, double now, double elapsedSeconds)
    {
        if (!double.IsFinite(now))
            return double.NaN;
        return double.IsNaN(mean)
            ? now
            : mean + (now - mean) * elapsedSeconds / (elapsedSeconds + QuickSeconds);
    }

    private void FollowDrop(FilmFlow flow)
    {
        double drop = flow.UnwindDropPercent();
        if (drop > _highestDrop)
            _highestDrop = drop;
        _unwindDrop = drop > NewDropFactor * _usualDrop.Highest ? drop : 0;
    }

    private double UsualLack => double.IsNaN(_usualLack.Value) ? 0 : _usualLack.Value;

    private double Share(bool[] blocks) =>
        (double)blocks.AsSpan(0, Math.Min(_blocks, blocks.Length)).Count(true) / blocks.Length;

    /// <summary>
    /// The unwind is at its limit: it runs level below target fill although it usually moves within a block, or it runs at
    /// the highest speed it has.
    /// </summary>
    private bool IsAtCeiling(in FilmBlock block, double offTarget)
    {
        if (block.LowestUnwind > (1 - LevelShare) * _roll.MaximumUnwindMetersPerMinute)
            return true;
        double range = SpeedRange(block);
        return range < LevelShare * block.MeanUnwind
            && range < UsualRangeShare * _usualRange.Value
            && offTarget < -ClearlyBelowPercent;
    }

    /// <summary>How far the speed asked of the unwind moves within a block, or the unwind's own where that is not known, m/min.</summary>
    private static double SpeedRange(in FilmBlock block) =>
        double.IsFinite(block.CommandRange) ? block.CommandRange : block.HighestUnwind - block.LowestUnwind;
}
