using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.FilmPath;
using Dancerwatch.Signals.Forecast;
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
    private readonly ConditionBoard _board;
    private bool _any;
    private long _lastGoodTicks;
    private double _sinceLookSeconds;
    private double _sinceUpsetSeconds;
    private long _nextLongBandsTicks;

    /// <param name="settings">The machine.</param>
    /// <exception cref="ArgumentException">A setting cannot be used; the message names it, its value and what is allowed.</exception>
    public MachineAssessor(MachineSettings settings)
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
        _board = new ConditionBoard(settings);
        _assessment.OneMinute = _assessment.FifteenMinutes = _assessment.EightHours = _bands.OneMinute;
        _assessment.Margin = Margins.From(_bands.OneMinute, 0, settings.Fill, _film.Trips);
        _assessment.Forecast = ForecastEstimate.Unknown;
        _assessment.FilmPath = _filmPath.Estimate;
        _assessment.Oscillation = OscillationEstimate.Nothing(Rhythm.NotEnoughData);
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
            _lastGoodTicks = reading.Ticks;
        _any = true;
        a.Ticks = reading.Ticks;
        a.Quality = reading.Quality;
        a.TransitionsToFill.Clear();

        double sinceGood = Seconds(reading.Ticks - _lastGoodTicks);
        if (reading.Quality != Quality.Bad && Measure(reading, a, sinceGood))
            _lastGoodTicks = reading.Ticks;
        _board.StepDataLost(a, _signs.Signs, sinceGood, elapsed);
        return a;
    }

    /// <summary>Which conditions are raised now, with their latest transition; null where not raised. Indexed by <see cref="Condition"/>.</summary>
    public ConditionTransition? Open(Condition condition) => _board[condition];

    /// <summary>Readings ignored because their time did not move forward.</summary>
    public long IgnoredReadings { get; private set; }

    /// <returns>False when the reading gave no fill.</returns>
    private bool Measure(in Reading reading, Assessment a, double elapsed)
    {
        a.Fill = _fillScale.Next(reading);
        a.Regime = _regimes.Next(reading, a.Fill);
        a.Roll = _roll.Next(reading, a.Regime, TurnSeen(a.Oscillation));
        if (!double.IsFinite(a.Fill.Percent))
            return false;
        if (a.Regime.ProductChanged || (a.Fill.SetPointsChanged && a.Regime.Regime == Regime.Stopped))
            Forget();
        _sinceUpsetSeconds =
            a.Regime.ProductChanged || a.Regime.RollChanged ? 0 : _sinceUpsetSeconds + elapsed;
        if (elapsed > LongestHoleSeconds)
            Restart();
        _signs.Add(
            elapsed,
            a.Fill,
            a.Regime,
            _film.Flow,
            reading[Signal.UnwindSpeed],
            reading[Signal.UnwindCommand]
        );
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
        Judge(a, elapsed);
        return true;
    }

    private void Judge(Assessment a, double elapsed)
    {
        bool isJudged =
            a.Regime.CountsForStatistics && Math.Min(a.Regime.Seconds, _sinceUpsetSeconds) >= SettleSeconds;
        _board.StepQuick(a, _signs.Signs, elapsed, isJudged);
        _sinceLookSeconds += elapsed;
        if (_sinceLookSeconds < LookSeconds)
            return;
        a.OneMinute = _bands.OneMinute;
        a.Margin = Margins.From(a.OneMinute, _signs.SetPointOffsetPercent, _fillSettings, _film.Trips);
        _signs.Gather(a.Fill, a.Oscillation, a.Roll, _film.Flow);
        a.Causes = CauseRanker.Rank(_signs.Signs);
        _board.Step(a, _signs.Signs, _sinceLookSeconds, isJudged);
        _sinceLookSeconds = 0;
        if (a.Ticks < _nextLongBandsTicks)
            return;
        a.FifteenMinutes = _bands.FifteenMinutes;
        a.EightHours = _bands.EightHours;
        _nextLongBandsTicks = a.Ticks + LongBandsSeconds * TimeSpan.TicksPerSecond;
    }

    private static double TurnSeen(in OscillationEstimate oscillation) =>
        oscillation.Rhythm == Rhythm.RollTurn ? oscillation.FrequencyHz / oscillation.Multiple : double.NaN;

    private void MeasureRunning(in Reading reading, Assessment a)
    {
        if (a.Regime.Changed)
            Restart();
        double seconds = Seconds(reading.Ticks);
        double fill = a.Fill.Percent + _signs.SetPointOffsetPercent;
        a.Oscillation = _oscillation.Next(
            seconds,
            fill,
            reading[Signal.UnwindSpeed],
            reading[Signal.CycleRate] / 60,
            a.Roll.TurnHz
        );
        if (_film.Add(seconds, fill, reading, out FilmBlock block))
        {
            _signs.Add(block, a.Fill.TargetPercent, _percentPerMeterPerMinute);
            _filmPath.Add(block, reading[Signal.CycleRate] > 0, a.Regime.Settling);
        }
        _bands.Add(reading);
        a.Forecast = _film.Forecast(fill);
    }

    private void Stand(Assessment a)
    {
        _oscillation.Pause();
        a.Oscillation = OscillationEstimate.Nothing(Rhythm.NotEnoughData);
        a.Forecast = ForecastEstimate.Unknown;
        if (a.Regime.Regime == Regime.Tripped)
            _film.Trip();
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
        _bands.Reset();
    }

    private static double Seconds(long ticks) => (double)ticks / TimeSpan.TicksPerSecond;
}
