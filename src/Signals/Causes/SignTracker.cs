using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;
using Dancerwatch.Signals.Roll;

namespace Dancerwatch.Signals.Causes;

/// <summary>Gathers <see cref="CauseSigns"/>: a little at each reading, most at the end of each block. Memory fixed.</summary>
internal sealed class SignTracker
{
    private const int ShortBlocks = 8;
    private const double QuickSeconds = 0.2;
    private const int CeilingBlocks = 5;
    private const int StrainBlocks = 20;

    /// <summary>The unwind runs level when it moves less than this share of its speed within a block.</summary>
    private const double LevelShare = 0.02;

    /// <summary>The same where what is asked of it is not known: its own speed is less even.</summary>
    private const double LevelShareOfUnwind = 0.04;

    /// <summary>The unwind clearly lags when it delivers this much less than asked for beyond what is usual, %.</summary>
    private const double ClearLackPercent = 8;

    /// <summary>While fill comes back by this much over a few blocks, a drive at its limit does what it is for, %.</summary>
    private const double RecoveringPercent = 1;

    /// <summary>While a machine starts, its unwind lags by this much without fault, %.</summary>
    private const double StartLackPercent = 40;
    private const double SettleSeconds = 3;

    /// <summary>Rolls are no smaller than a 76 mm core and seldom larger than this (common practice, no source), m.</summary>
    private const double SmallestRollMeters = 0.076;
    private const double LargestRollMeters = 0.48;

    /// <summary>Near full the brake bears by design; below this it should not, %.</summary>
    private const double BrakeIdleBelowPercent = 75;

    /// <summary>A drop of the unwind is new from this many times the largest of the last minute on.</summary>
    private const double NewDropFactor = 1.5;

    /// <summary>A level unwind moves less than this share of what it usually moves.</summary>
    private const double UsualRangeShare = 0.3;

    /// <summary>An unwind that gives no more than this share of its usual speed is held, and not at its limit.</summary>
    private const double LeastTopShare = 0.5;

    /// <summary>Below target by this much a healthy unwind would speed up, %.</summary>
    private const double ClearlyBelowPercent = 2;

    private readonly RollSettings _roll;
    private readonly double _resolutionPercent;
    private readonly OverrunTracker _overrun = new();
    private readonly CatchCounter _catches = new();
    private readonly TurnModulation _turn = new();
    private readonly RecentSurplus _surplus = new();
    private readonly UnwindFall _fallOfUnwind = new();
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
    private readonly Usual _usualUnwind = new();
    private readonly Usual _usualTurn = new();
    private readonly Usual _usualSurplus = new();
    private readonly Usual _usualUnwindFall = new();
    private readonly Usual _usualStillShare = new();
    private readonly Usual _usualBrakeBar = new();
    private readonly RecentMedian _stillShare = new(ShortBlocks);
    private double _brakeBar = double.NaN;
    private readonly RecentExtremes _usualDrop = new();
    private readonly bool[] _ceiling = new bool[CeilingBlocks];
    private readonly bool[] _strain = new bool[StrainBlocks];
    private readonly SpeedTop _top = new();
    private readonly WrongWay _wrongWay = new();
    private int _blocks;
    private bool _isStarting;
    private bool _isTurnKnown;
    private double _fall;
    private double _highestDrop;
    private Cause _trippedBy;
    private double _sinceTripSeconds = double.PositiveInfinity;
    private double _unwindDrop;
    private double _quickLack = double.NaN;
    private FilmBlock _last;
    private CauseSigns _signs;

    public SignTracker(MachineSettings settings)
    {
        FillSettings fill = settings.Fill;
        _roll = settings.Roll;
        _resolutionPercent = 100 * fill.GapResolution / Math.Abs(fill.GapAtFull - fill.GapAtEmpty);
        _still = new StillTracker(_resolutionPercent);
    }

    /// <summary>As gathered last; not copied: it is 0.5 kB, and every reading looks at it.</summary>
    public ref readonly CauseSigns Signs => ref _signs;

    /// <inheritdoc cref="SetPointTracker.OffsetPercent"/>
    public double SetPointOffsetPercent => _setPoints.OffsetPercent;

    /// <summary>Takes any reading with a finite fill.</summary>
    public void Add(
        double elapsedSeconds,
        in FillEstimate fill,
        in RegimeEstimate regime,
        FilmFlow flow,
        in Reading reading,
        in OscillationEstimate oscillation,
        double turnHz
    )
    {
        _isTurnKnown = double.IsFinite(turnHz);
        if (MayBeTurn(oscillation))
            turnHz = oscillation.FrequencyHz;
        double unwind = reading[Signal.UnwindSpeed];
        double command = Asked(reading[Signal.UnwindCommand], fill);
        _isStarting = regime.Regime == Regime.Starting || regime.Seconds < SettleSeconds;
        // What strained the drive before a stop is over: hands may have mended it, and where not it strains again.
        if (regime is { Regime: Regime.Starting, Changed: true })
            _strain.AsSpan().Clear();
        _brakeBar = reading[Signal.BrakePressure];
        // Measured against the least asked for lately: a drive that follows a swinging command late is not held.
        double asked = _isStarting ? command : _catches.LeastAsked;
        _quickLack = QuickShare(_quickLack, 100 * (1 - unwind / asked), elapsedSeconds);
        _setPoints.Add(fill, regime.Regime);
        _overrun.Add(elapsedSeconds, fill, flow.CycleMean, unwind, regime.Regime);
        if (regime.CountsForStatistics)
        {
            _still.Add(elapsedSeconds, fill.Percent);
            _catches.Add(elapsedSeconds, unwind, command);
            _turn.Add(elapsedSeconds, unwind, turnHz, reading[Signal.CycleRate] / 60);
            _fallOfUnwind.Add(elapsedSeconds, unwind, command);
            _surplus.Add(elapsedSeconds, unwind, reading[Signal.UnwindCommand]);
            _sinceTripSeconds += elapsedSeconds;
            _wrongWay.Add(elapsedSeconds, fill, reading[Signal.UnwindCommand], reading[Signal.LineSpeed]);
        }
        else
        {
            _still.Restart();
            _catches.Pause();
            _turn.Clear();
            _surplus.Pause();
            _fallOfUnwind.Clear();
        }
    }

    /// <summary>
    /// What is asked of the unwind, m/min. Where that is not read: below target it is asked for its usual speed at least.
    /// </summary>
    private double Asked(double command, in FillEstimate fill) =>
        double.IsFinite(command) ? command
        : fill.Percent < fill.TargetPercent ? _usualUnwind.Value
        : double.NaN;

    /// <summary>The next block does not follow on the last one.</summary>
    public void Break()
    {
        _book.Break();
        _slowSwing.Clear();
        _top.Clear();
    }

    /// <summary>The machine tripped, and this is thought to be why.</summary>
    public void Trip(Cause cause)
    {
        _trippedBy = cause;
        _sinceTripSeconds = 0;
        // What led to it is over: hands have moved the dancer since, and perhaps mended something.
        _book.Trip();
        _overrun.ForgetLast();
        _catches.Clear();
        _swing.Clear();
        _roughness.Clear();
        _lack.Clear();
        _brake.Clear();
        _offTarget.Clear();
        _stillShare.Clear();
        _blocks = 0;
        _ceiling.AsSpan().Clear();
        _strain.AsSpan().Clear();
        _wrongWay.Clear();
        _top.Clear();
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
        _usualTurn.Clear();
        _usualUnwind.Clear();
        _usualSurplus.Clear();
        _usualStillShare.Clear();
        _usualUnwindFall.Clear();
        _usualBrakeBar.Clear();
        _usualDrop.Clear();
    }

    /// <summary>Takes a closed block of running.</summary>
    /// <param name="balancePercentPerMeterPerMinute">What 1 m/min more in than out does to fill, %/s; NaN where the storage is unknown.</param>
    public void Add(in FilmBlock block, double targetPercent, double balancePercentPerMeterPerMinute)
    {
        _last = block;
        double swing = block.CycleSwing;
        _swing.Add(swing);
        _roughness.Add(block.Roughness);
        _brake.Add(block.HighestFill < BrakeIdleBelowPercent ? block.BrakeShare : 0);
        double lack = 100 * (1 - block.MeanUnwind / block.MeanCommand);
        _lack.Add(lack);
        double offTarget = block.MeanFill - targetPercent;
        _offTarget.Add(offTarget);
        double rate = block.FillChange / block.DurationSeconds;
        _book.Add(block, balancePercentPerMeterPerMinute);
        _slowSwing.Add(block, balancePercentPerMeterPerMinute);
        _fall = Math.Max(-rate, 0.7 * _fall);
        _top.Add(block);
        bool atCeiling = IsAtCeiling(block, offTarget);
        _ceiling[_blocks % CeilingBlocks] = atCeiling;
        bool isRecovering = _top.FallPercent < -RecoveringPercent;
        _strain[_blocks % StrainBlocks] = !isRecovering && (atCeiling || lack - UsualLack > ClearLackPercent);
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
        _usualUnwind.Add(block.MeanUnwind);
        _usualTurn.Add(_turn.Percent);
        _usualSurplus.Add(_surplus.Percent);
        _usualUnwindFall.Add(_fallOfUnwind.PercentPerSecond);
        _stillShare.Add(block.StillShare);
        _usualStillShare.Add(block.StillShare);
        if (block.HighestFill < BrakeIdleBelowPercent)
            _usualBrakeBar.Add(_brakeBar);
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
        _signs = new CauseSigns
        {
            Oscillation = oscillation,
            MayBeTurn = MayBeTurn(oscillation),
            TrippedBy = _trippedBy,
            SinceTripSeconds = _sinceTripSeconds,
            SwingPercent = _swing.Value,
            UsualSwingPercent = _usualSwing.Value,
            RoughnessPercent = _roughness.Value,
            UsualRoughnessPercent = _usualRoughness.Value,
            ResolutionPercent = _resolutionPercent,
            StillSeconds = _still.Seconds,
            UsualStillSeconds = _still.UsualSeconds,
            LackPercent = _lack.Value,
            UsualLackPercent = UsualLack,
            CeilingShare = Share(_ceiling),
            StrainShare = Share(_strain),
            WrongWayShare = _wrongWay.Share,
            ShortShare = _wrongWay.ShortShare,
            UnwindDropPercent = _unwindDrop,
            QuickLackPercent = _isStarting ? _quickLack - StartLackPercent : _quickLack,
            RecentCatches = _catches.Recent,
            TurnPercent = _turn.Percent,
            UsualTurnPercent = _usualTurn.Value,
            SurplusPercent = _surplus.Percent,
            UsualSurplusPercent = _usualSurplus.Value,
            UnwindFallPercentPerSecond = _fallOfUnwind.PercentPerSecond,
            UsualUnwindFallPercentPerSecond = _usualUnwindFall.Value,
            StillShare = _stillShare.Value,
            UsualStillShare = _usualStillShare.Value,
            BrakeBar = fill.Percent < BrakeIdleBelowPercent ? _brakeBar : double.NaN,
            UsualBrakeBar = _usualBrakeBar.Value,
            UnwindMetersPerMinute = _last.MeanUnwind,
            BrakeShare = _brake.Value,
            OverrunPercent = _overrun.LastPercent,
            UsualOverrunPercent = _overrun.UsualPercent,
            FillAfterStopPercent = _overrun.HighestPercent,
            ContradictionPercent = _book.ContradictionPercent,
            LostSharePercent = _book.LostSharePercent,
            SlowSwingPercent = _slowSwing.Percent,
            SlowSwingUnwindShare = _slowSwing.UnwindShare,
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

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Sign"u8);
        _overrun.Keep(ledger);
        _catches.Keep(ledger);
        _turn.Keep(ledger);
        _surplus.Keep(ledger);
        _fallOfUnwind.Keep(ledger);
        _still.Keep(ledger);
        _setPoints.Keep(ledger);
        _swing.Keep(ledger);
        _roughness.Keep(ledger);
        _lack.Keep(ledger);
        _brake.Keep(ledger);
        _offTarget.Keep(ledger);
        _stillShare.Keep(ledger);
        _book.Keep(ledger);
        _slowSwing.Keep(ledger);
        _usualSwing.Keep(ledger);
        _usualRoughness.Keep(ledger);
        _usualLack.Keep(ledger);
        _usualOffTarget.Keep(ledger);
        _usualSlowSwing.Keep(ledger);
        _usualFall.Keep(ledger);
        _usualRange.Keep(ledger);
        _usualUnwind.Keep(ledger);
        _usualTurn.Keep(ledger);
        _usualSurplus.Keep(ledger);
        _usualUnwindFall.Keep(ledger);
        _usualStillShare.Keep(ledger);
        _usualBrakeBar.Keep(ledger);
        _usualDrop.Keep(ledger);
        ledger.Keep(_ceiling.AsSpan());
        ledger.Keep(_strain.AsSpan());
        _wrongWay.Keep(ledger);
        _top.Keep(ledger);
        _blocks = ledger.Count(_blocks);
        _brakeBar = ledger.Keep(_brakeBar);
        _isStarting = ledger.Keep(_isStarting);
        _isTurnKnown = ledger.Keep(_isTurnKnown);
        _fall = ledger.Keep(_fall);
        _highestDrop = ledger.Keep(_highestDrop);
        _trippedBy = ledger.Keep(_trippedBy, Cause.SetpointError);
        _sinceTripSeconds = ledger.Keep(_sinceTripSeconds);
        _unwindDrop = ledger.Keep(_unwindDrop);
        _quickLack = ledger.Keep(_quickLack);
        _last = ledger.Keep(_last);
        _signs = ledger.Keep(_signs) with { TrippedBy = _trippedBy };
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
    /// The unwind is at its limit: below target fill it runs level although it usually moves within a block, or gives no more
    /// although fill falls; or it runs at the highest speed it has.
    /// </summary>
    private bool IsAtCeiling(in FilmBlock block, double offTarget)
    {
        if (block.LowestUnwind > (1 - LevelShare) * _roll.MaximumUnwindMetersPerMinute)
            return true;
        double range = SpeedRange(block);
        double level = double.IsFinite(block.CommandRange) ? LevelShare : LevelShareOfUnwind;
        bool isLevel = range < level * block.MeanUnwind && range < UsualRangeShare * _usualRange.Value;
        bool isTop = _top.IsReached && block.HighestUnwind > LeastTopShare * _usualUnwind.Value;
        return (isLevel || isTop) && offTarget < -ClearlyBelowPercent;
    }

    private bool MayBeTurn(in OscillationEstimate o) =>
        !_isTurnKnown
        && o.Rhythm == Rhythm.ControlLoop
        && _last.MeanUnwind / 60 / (Math.PI * o.FrequencyHz) is > SmallestRollMeters and < LargestRollMeters;

    /// <summary>How far the speed asked of the unwind moves within a block, or the unwind's own where that is not known, m/min.</summary>
    private static double SpeedRange(in FilmBlock block) =>
        double.IsFinite(block.CommandRange) ? block.CommandRange : block.HighestUnwind - block.LowestUnwind;
}
