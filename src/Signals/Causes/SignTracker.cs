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
    private const int CeilingBlocks = 10;
    private const int MinuteBlocks = 60;

    /// <summary>The unwind runs level when it moves less than this share of its speed within a block.</summary>
    private const double LevelShare = 0.01;

    /// <summary>The unwind clearly lags when it delivers this much less than asked for beyond what is usual, %.</summary>
    private const double ClearLackPercent = 8;

    /// <summary>A drop of the unwind is new from this many times the largest of the last minute on.</summary>
    private const double NewDropFactor = 1.5;

    /// <summary>Rates of fill over a block are not known better than this, %/s.</summary>
    private const double SmallestSpread = 0.3;

    /// <summary>A level unwind moves less than this share of what it usually moves.</summary>
    private const double UsualRangeShare = 0.3;

    /// <summary>Below target by this much a healthy unwind would speed up, %.</summary>
    private const double ClearlyBelowPercent = 4;

    private readonly RollSettings _roll;
    private readonly OverrunTracker _overrun = new();
    private readonly StillTracker _still;
    private readonly SetPointTracker _setPoints = new();
    private readonly RecentMedian _swing = new(ShortBlocks);
    private readonly RecentMedian _roughness = new(ShortBlocks);
    private readonly RecentMedian _lack = new(ShortBlocks);
    private readonly RecentMedian _brake = new(ShortBlocks);
    private readonly RecentMedian _offTarget = new(ShortBlocks);
    private readonly RecentMedian _contradiction = new(ShortBlocks);
    private readonly Usual _usualSwing = new();
    private readonly Usual _usualRoughness = new();
    private readonly Usual _usualLack = new();
    private readonly Usual _usualOffTarget = new();
    private readonly Usual _usualContradiction = new();
    private readonly Usual _usualFall = new();
    private readonly Usual _usualUnwindRange = new();
    private readonly bool[] _ceiling = new bool[CeilingBlocks];
    private readonly bool[] _strain = new bool[MinuteBlocks];
    private int _blocks;
    private double _fall;
    private readonly RecentExtremes _usualDrop = new();
    private double _highestDrop;
    private double _unwindDrop;
    private FilmBlock _last;

    public SignTracker(MachineSettings settings)
    {
        FillSettings fill = settings.Fill;
        _roll = settings.Roll;
        _still = new StillTracker(100 * fill.GapResolution / Math.Abs(fill.GapAtFull - fill.GapAtEmpty));
    }

    public CauseSigns Signs { get; private set; }

    /// <summary>Takes any reading with a finite fill.</summary>
    public void Add(
        double elapsedSeconds,
        in FillEstimate fill,
        in RegimeEstimate regime,
        FilmFlow flow,
        double unwind
    )
    {
        _setPoints.Add(fill);
        _overrun.Add(elapsedSeconds, fill, flow.CycleMean, unwind, regime.Regime);
        double drop = flow.UnwindDropPercent;
        if (drop > _highestDrop)
            _highestDrop = drop;
        _unwindDrop = drop > NewDropFactor * _usualDrop.Highest ? drop : 0;
        if (regime.CountsForStatistics)
            _still.Add(elapsedSeconds, fill.Percent);
        else
            _still.Restart();
    }

    /// <summary>Another product: what was usual is no longer.</summary>
    public void ForgetUsual()
    {
        _usualSwing.Clear();
        _usualRoughness.Clear();
        _usualLack.Clear();
        _usualOffTarget.Clear();
        _usualContradiction.Clear();
        _usualFall.Clear();
        _usualUnwindRange.Clear();
    }

    /// <summary>Takes a closed block of running.</summary>
    /// <param name="balancePercentPerMeterPerMinute">What 1 m/min more in than out does to fill, %/s; NaN where the storage is unknown.</param>
    public void Add(in FilmBlock block, double targetPercent, double balancePercentPerMeterPerMinute)
    {
        _last = block;
        _swing.Add(block.Swing);
        _roughness.Add(block.Roughness);
        _brake.Add(block.BrakeShare);
        double lack = 100 * (1 - block.MeanUnwind / block.MeanCommand);
        _lack.Add(lack);
        double offTarget = block.MeanFill - targetPercent;
        _offTarget.Add(offTarget);
        double rate = block.FillChange / block.DurationSeconds;
        double contradiction = rate - (block.MeanUnwind - block.MeanLine) * balancePercentPerMeterPerMinute;
        _contradiction.Add(contradiction);
        _fall = Math.Max(-rate, 0.7 * _fall);
        bool atCeiling = IsAtCeiling(block, offTarget);
        _ceiling[_blocks % CeilingBlocks] = atCeiling;
        _strain[_blocks % MinuteBlocks] = atCeiling || lack - UsualLack > ClearLackPercent;
        _blocks++;

        _usualDrop.Add(0, _highestDrop);
        _highestDrop = 0;
        _usualSwing.Add(block.Swing);
        _usualRoughness.Add(block.Roughness);
        _usualLack.Add(lack);
        _usualOffTarget.Add(offTarget);
        _usualContradiction.Add(contradiction);
        _usualFall.Add(Math.Abs(rate));
        _usualUnwindRange.Add(UnwindRange(block));
    }

    /// <summary>Puts the numbers together.</summary>
    public void Gather(in FillEstimate fill, in OscillationEstimate oscillation, in RollEstimate roll)
    {
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
            UnwindMetersPerMinute = _last.MeanUnwind,
            LineMetersPerMinute = _last.MeanLine,
            BrakeShare = _brake.Value,
            OverrunPercent = _overrun.LastPercent,
            UsualOverrunPercent = _overrun.UsualPercent,
            FillAfterStopPercent = _overrun.HighestPercent,
            ContradictionPercentPerSecond = _contradiction.Value - _usualContradiction.Value,
            ContradictionSpread = Math.Max(_usualContradiction.Spread, SmallestSpread),
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

    private double UsualLack => double.IsNaN(_usualLack.Value) ? 0 : _usualLack.Value;

    private double Share(bool[] blocks) =>
        (double)blocks.AsSpan(0, Math.Min(_blocks, blocks.Length)).Count(true) / blocks.Length;

    /// <summary>
    /// The unwind is at its limit: it runs level below target fill although it usually moves within a block, or it runs at
    /// the highest speed it has.
    /// </summary>
    private bool IsAtCeiling(in FilmBlock block, double offTarget)
    {
        double range = UnwindRange(block);
        if (block.LowestUnwind > (1 - LevelShare) * _roll.MaximumUnwindMetersPerMinute)
            return true;
        return range < LevelShare * block.MeanUnwind
            && range < UsualRangeShare * _usualUnwindRange.Value
            && offTarget < -ClearlyBelowPercent;
    }

    private static double UnwindRange(in FilmBlock block) => block.HighestUnwind - block.LowestUnwind;
}
