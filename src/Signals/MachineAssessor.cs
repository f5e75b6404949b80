using System.Buffers;
using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.FilmPath;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;
using Dancerwatch.Signals.Roll;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.Signals;

/// <summary>
/// All mathematics for one machine: one reading in, one assessment out. Not thread-safe; allocates nothing per reading
/// once constructed, except when a condition changes.
/// </summary>
public sealed class MachineAssessor
{
    private const double MillimetersPerSecond = 1000.0 / 60; // of one m/min

    /// <summary>The one-minute band, the causes and all conditions that do not hurry are looked at this often, s.</summary>
    private const double LookSeconds = 0.2;

    /// <summary>The longer bands are looked at this often, s.</summary>
    private const long LongBandsSeconds = 1;

    /// <summary>After a start, a new product or another roll the film settles this long before it is judged, s.</summary>
    private const double SettleSeconds = 5;

    /// <summary>After a trip, trends and bands are judged from so long after the start on, s.</summary>
    private const double RecoverSeconds = 45;

    /// <summary>A hole in the readings longer than this breaks what leans on neighbouring readings, s.</summary>
    private const double LongestHoleSeconds = 1;

    private readonly Assessment _assessment = new();
    private readonly double _percentPerMeterPerMinute;
    private readonly FillSettings _fillSettings;
    private readonly FillScale _fillScale;
    private readonly RegimeTracker _regimes;
    private readonly RollTracker _roll;
    private readonly OscillationDetector _oscillation;
    private readonly SlidingBands _bands;
    private readonly RunningFilm _film;
    private readonly FilmPathTracker _filmPath = new();
    private readonly SignTracker _signs;
    private readonly ConditionBoard[] _boards;
    private bool _any;
    private bool _isStart;
    private double _seenCycleHz = double.NaN;
    private long _lastGoodTicks = long.MaxValue; // later than any reading: there is none
    private long _unwatchedTicks; // of those since the last good reading
    private double _sinceLookSeconds;
    private double _sinceUpsetSeconds;
    private long _nextLongBandsTicks;

    /// <param name="settings">The machine.</param>
    /// <exception cref="ArgumentException">A setting cannot be used; the message names it, its value and what is allowed.</exception>
    public MachineAssessor(MachineSettings settings)
        : this(settings, []) { }

    /// <param name="settings">The machine.</param>
    /// <param name="others">
    /// Other settings of the warnings: what they would have told is told by <see cref="TransitionsOf"/>, at the cost of the
    /// last step only.
    /// </param>
    /// <exception cref="ArgumentException">A setting cannot be used; the message names it, its value and what is allowed.</exception>
    public MachineAssessor(MachineSettings settings, IReadOnlyList<WarningSettings> others)
    {
        ArgumentNullException.ThrowIfNull(settings);
        _fillSettings = settings.Fill;
        _percentPerMeterPerMinute = 100 * MillimetersPerSecond / settings.Fill.StorageMillimeters;
        _fillScale = new FillScale(settings.Fill);
        _regimes = new RegimeTracker(settings.Fill);
        _roll = new RollTracker(settings.Roll);
        _oscillation = new OscillationDetector(settings.PollSeconds, settings.Fill.StorageMillimeters / 1000);
        _bands = new SlidingBands(settings.Fill, _fillScale, settings.PollSeconds);
        _film = new RunningFilm(settings);
        _signs = new SignTracker(settings);
        _boards =
        [
            new ConditionBoard(settings.Fill, settings.Warnings),
            .. others.Select(other => new ConditionBoard(settings.Fill, other)),
        ];
        _assessment.Transitions = _boards[0].Transitions;
        _assessment.OneMinute = _assessment.FifteenMinutes = _assessment.EightHours = _bands.OneMinute;
        _assessment.Margin = Margins.From(_bands.OneMinute, 0, settings.Fill, _film.Trips);
        _assessment.Forecast = ForecastEstimate.Unknown;
        _assessment.FilmPath = _filmPath.Estimate;
        _assessment.OscillationNow = OscillationEstimate.Nothing(Rhythm.NotEnoughData);
    }

    /// <summary>Takes the next reading. Readings whose time does not move forward are ignored and counted.</summary>
    /// <returns>The same instance at each call.</returns>
    public Assessment Process(in Reading reading)
    {
        Assessment a = _assessment;
        if (_any && reading.Ticks <= a.Ticks)
        {
            IgnoredReadings++;
            return a;
        }
        double elapsed = _any ? Seconds(reading.Ticks - a.Ticks) : 0;
        if (!_any)
            _lastGoodTicks = Math.Min(_lastGoodTicks, reading.Ticks);
        _any = true;
        a.Ticks = reading.Ticks;
        a.Quality = reading.Quality;
        foreach (ConditionBoard board in _boards)
            board.Begin();

        double sinceGood = Seconds(reading.Ticks - _lastGoodTicks);
        double unanswered = sinceGood - Seconds(_unwatchedTicks);
        if (reading.Quality != Quality.Bad && Measure(reading, a, sinceGood))
            (_lastGoodTicks, _unwatchedTicks) = (reading.Ticks, 0);
        foreach (ConditionBoard board in _boards)
            board.StepDataLost(a, _signs.Signs, unanswered, elapsed);
        return a;
    }

    /// <summary>Which conditions are raised now, with their latest transition; null where not raised. Indexed by <see cref="Condition"/>.</summary>
    public ConditionTransition? Open(Condition condition) => _boards[0][condition];

    /// <summary>What the last reading would have raised, changed or cleared by other settings of the warnings.</summary>
    /// <param name="other">Which of those given to the constructor.</param>
    public IReadOnlyList<ConditionTransition> TransitionsOf(int other) => _boards[other + 1].Transitions;

    /// <summary>Monotonic time of the latest reading, ticks of 100 ns; null before the first.</summary>
    public long? LatestTicks => _any ? _assessment.Ticks : null;

    /// <summary>Readings ignored because their time did not move forward.</summary>
    public long IgnoredReadings { get; private set; }

    /// <summary>
    /// Takes over what was told last of a condition after this assessor's memory was saved: raised, it is not raised again.
    /// Before the first reading.
    /// </summary>
    /// <param name="told">With times on the clock of the readings to come.</param>
    /// <param name="nowTicks">Monotonic time of now, ticks of 100 ns.</param>
    public void Recall(ConditionTransition told, long nowTicks)
    {
        ArgumentNullException.ThrowIfNull(told);
        _boards[0].Recall(told, _assessment.Causes.First.Cause);
        if (told.Condition != Condition.DataLost)
            return;
        // Lost data stay lost until a good reading comes; what came back is not missed from before.
        bool isLost = told.State != ConditionState.Cleared;
        _lastGoodTicks = Math.Min(_lastGoodTicks, told.OnsetTicks);
        _unwatchedTicks = (isLost ? told.OnsetTicks : nowTicks) - _lastGoodTicks;
    }

    /// <summary>Version of what <see cref="Save"/> writes: a new one wherever a field comes, goes or means something else.</summary>
    public const int SnapshotVersion = 6;

    /// <summary>An assessor that was away for longer knows no windows and no usual values any more.</summary>
    public static readonly TimeSpan LongestAbsence = TimeSpan.FromHours(8);

    /// <summary>Away for longer, the roll may have been changed unseen, s.</summary>
    private const double SameRollSeconds = 60;

    /// <summary>
    /// Writes down what must outlive the process: all bands, what is usual, the windows of oscillations and of the film path,
    /// roll, causes, and the conditions of the first board. What any hole in the readings ends is left out: film flow, held
    /// extremes, blocks and quick trends under way. About 0.4 MB where eight hours are full at 20 ms and 12 bits.
    /// </summary>
    /// <remarks>Copies memory and allocates nothing itself; not to be called while a reading is processed.</remarks>
    public void Save(IBufferWriter<byte> into)
    {
        ArgumentNullException.ThrowIfNull(into);
        Ledger ledger = new(into);
        ledger.Keep(_assessment.Ticks);
        Keep(ledger);
    }

    /// <summary>
    /// An assessor that goes on where another one stopped, as after a hole in the readings. Time away does not count as lost
    /// data: nobody asked. After more than <see cref="LongestAbsence"/> only conditions, roll and set points are as they were.
    /// </summary>
    /// <param name="settings">The machine, as it was: limits of warnings may differ, what sizes or scales windows may not.</param>
    /// <param name="saved">What <see cref="Save"/> wrote.</param>
    /// <param name="nowTicks">Monotonic time of now, ticks of 100 ns; readings to come are later.</param>
    /// <param name="away">Since the last reading of the one that was saved; not negative.</param>
    /// <exception cref="InvalidDataException">It is not what this version writes for such a machine; the message says where.</exception>
    public static MachineAssessor Restore(
        MachineSettings settings,
        ReadOnlyMemory<byte> saved,
        long nowTicks,
        TimeSpan away
    )
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(away, TimeSpan.Zero);
        long then = new Ledger(saved, 0).Keep(0L);
        long shift = unchecked(nowTicks - away.Ticks - then);
        MachineAssessor restored = new(settings);
        Ledger ledger = new(saved, shift);
        ledger.Keep(0L);
        restored.Keep(ledger);
        ledger.Close();
        restored.Resume(away);
        return restored;
    }

    private void Keep(Ledger ledger)
    {
        _assessment.Keep(ledger);
        _fillScale.Keep(ledger);
        _regimes.Keep(ledger);
        _roll.Keep(ledger);
        _oscillation.Keep(ledger);
        _bands.Keep(ledger);
        _film.Keep(ledger);
        _filmPath.Keep(ledger);
        _signs.Keep(ledger);
        _boards[0].Keep(ledger);
        ledger.Open("Asor"u8);
        _any = ledger.Keep(_any);
        _isStart = ledger.Keep(_isStart);
        _seenCycleHz = ledger.Keep(_seenCycleHz);
        _lastGoodTicks = ledger.Ticks(_lastGoodTicks);
        _unwatchedTicks = ledger.Keep(_unwatchedTicks);
        _sinceLookSeconds = ledger.Keep(_sinceLookSeconds);
        _sinceUpsetSeconds = ledger.Keep(_sinceUpsetSeconds);
        _nextLongBandsTicks = ledger.Ticks(_nextLongBandsTicks);
    }

    private void Resume(TimeSpan away)
    {
        _unwatchedTicks += away.Ticks;
        Restart();
        if (away.TotalSeconds > SameRollSeconds)
            _roll.Forget();
        if (away <= LongestAbsence)
            return;
        Forget();
        // Not to be told again before they are measured again.
        _assessment.OneMinute = _assessment.FifteenMinutes = _assessment.EightHours = _bands.OneMinute;
        _assessment.OscillationNow = OscillationEstimate.Nothing(Rhythm.NotEnoughData);
    }

    /// <returns>False when the reading gave no fill.</returns>
    private bool Measure(in Reading reading, Assessment a, double elapsed)
    {
        a.FillNow = _fillScale.Next(reading);
        a.RegimeNow = _regimes.Next(reading, a.Fill, _film.Pull);
        a.RollNow = _roll.Next(reading, a.Regime, TurnSeen(a.Oscillation));
        if (!double.IsFinite(a.Fill.Percent))
            return false;
        if (a.Regime.ProductChanged || (a.Fill.SetPointsChanged && a.Regime.Regime == Regime.Stopped))
            Forget();
        _sinceUpsetSeconds =
            a.Regime.ProductChanged || a.Regime.RollChanged ? 0 : _sinceUpsetSeconds + elapsed;
        if (elapsed > LongestHoleSeconds)
            Restart();
        _signs.Add(elapsed, a.Fill, a.Regime, _film.Flow, reading, a.Oscillation, a.Roll.TurnHz);
        if (a.Regime.CountsForStatistics)
            MeasureRunning(reading, a);
        else if (a.Regime.Changed)
            Stand(a);
        if (
            _filmPath.Add(
                Seconds(reading.Ticks),
                elapsed,
                reading,
                a.Fill,
                a.Regime,
                a.Oscillation,
                a.Roll.TurnHz
            )
        )
            a.FilmPath = _filmPath.Estimate;
        bool isSettled =
            a.Regime.CountsForStatistics && Math.Min(a.Regime.Seconds, _sinceUpsetSeconds) >= SettleSeconds;
        FollowStart(reading, a, elapsed, isSettled);
        Judge(a, elapsed, isSettled);
        return true;
    }

    /// <summary>From the first reading of a start until film has settled, a forecast of its own stands in.</summary>
    private void FollowStart(in Reading reading, Assessment a, double elapsed, bool isSettled)
    {
        if (a.Regime is { Regime: Regime.Starting, Changed: true })
        {
            _isStart = true;
            _film.BeginStart(_regimes.StoodPercent);
        }
        if (!_isStart)
            return;
        if (isSettled)
            _film.EndStart();
        _isStart = !isSettled && a.Regime.Regime is Regime.Starting or Regime.Running;
        if (_isStart)
            a.Forecast = _film.Start(elapsed, a.Fill.Percent + _signs.SetPointOffsetPercent, reading);
    }

    private void Judge(Assessment a, double elapsed, bool isJudged)
    {
        // A cause is told with the warning: where seconds count it is that of this very reading.
        if (a.Forecast.SecondsToLimit < double.PositiveInfinity)
            Explain(a);
        foreach (ConditionBoard board in _boards)
            board.StepQuick(a, _signs.Signs, elapsed, isJudged || _isStart);
        _sinceLookSeconds += elapsed;
        if (_sinceLookSeconds < LookSeconds)
            return;
        a.OneMinute = _bands.OneMinute;
        a.Margin = Margins.From(a.OneMinute, _signs.SetPointOffsetPercent, _fillSettings, _film.Trips);
        Explain(a);
        foreach (ConditionBoard board in _boards)
            board.Step(a, _signs.Signs, _sinceLookSeconds, isJudged, isJudged && !IsRecovering(a));
        _sinceLookSeconds = 0;
        if (a.Ticks < _nextLongBandsTicks)
            return;
        a.FifteenMinutes = _bands.FifteenMinutes;
        a.EightHours = _bands.EightHours;
        _nextLongBandsTicks = a.Ticks + LongBandsSeconds * TimeSpan.TicksPerSecond;
    }

    private void Explain(Assessment a)
    {
        _signs.Gather(a.Fill, a.Oscillation, a.Roll, _film.Flow);
        a.Causes = CauseRanker.Rank(_signs.Signs);
    }

    /// <summary>After a trip hands have moved the dancer, and where no signal tells of it their work looks like a run.</summary>
    private bool IsRecovering(Assessment a) =>
        a.Regime.Seconds < RecoverSeconds && _signs.Signs.SinceTripSeconds < RecoverSeconds;

    private static double TurnSeen(in OscillationEstimate oscillation) =>
        oscillation.Rhythm == Rhythm.RollTurn ? oscillation.FrequencyHz / oscillation.Multiple : double.NaN;

    private void MeasureRunning(in Reading reading, Assessment a)
    {
        if (a.Regime.Changed)
            Restart();
        double seconds = Seconds(reading.Ticks);
        double fill = a.Fill.Percent + _signs.SetPointOffsetPercent;
        a.OscillationNow = _oscillation.Next(
            seconds,
            fill,
            reading[Signal.UnwindSpeed],
            reading[Signal.CycleRate] / 60,
            a.Roll.TurnHz
        );
        if (_film.Add(seconds, fill, reading, CyclesPerMinute(reading, a.Oscillation), out FilmBlock block))
        {
            _signs.Add(block, a.Fill.TargetPercent, _percentPerMeterPerMinute);
            _filmPath.Add(block, reading[Signal.CycleRate] > 0, a.Regime.Settling);
        }
        _bands.Add(reading);
        a.Forecast = _film.Forecast(fill);
    }

    /// <summary>Where the cycle rate is not read, the one that was seen stands for it; NaN where none was.</summary>
    private double CyclesPerMinute(in Reading reading, in OscillationEstimate oscillation)
    {
        if (double.IsFinite(oscillation.CycleHz))
            _seenCycleHz = oscillation.CycleHz;
        double read = reading[Signal.CycleRate];
        return double.IsFinite(read) ? read : 60 * _seenCycleHz;
    }

    private void Stand(Assessment a)
    {
        _oscillation.Pause();
        a.OscillationNow = OscillationEstimate.Nothing(Rhythm.NotEnoughData);
        a.Forecast = ForecastEstimate.Unknown;
        if (a.Regime.Regime != Regime.Tripped)
            return;
        _film.Trip();
        _bands.ForgetMinute();
        _oscillation.Reset();
        _seenCycleHz = double.NaN;
        _signs.Trip(a.Causes.First.Cause);
        foreach (ConditionBoard board in _boards)
            board.Trip(a, _signs.Signs);
    }

    private void Restart()
    {
        _film.Restart();
        _signs.Break();
    }

    private void Forget()
    {
        _film.Forget();
        _filmPath.ForgetUsual();
        _signs.ForgetUsual();
        _oscillation.Reset();
        _seenCycleHz = double.NaN;
        _bands.Reset();
    }

    private static double Seconds(long ticks) => (double)ticks / TimeSpan.TicksPerSecond;
}
