using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
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

    /// <summary>The one-minute band and the causes are looked at again this often, s.</summary>
    private const double RankSeconds = 0.2;

    /// <summary>The longer bands are looked at again this often, s.</summary>
    private const double LongBandsSeconds = 1;

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
    private readonly SignTracker _signs;
    private readonly ConditionBoard _board;
    private bool _any;
    private long _lastGoodTicks;
    private double _sinceRankSeconds;
    private double _sinceLongBandsSeconds;

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
        _assessment.Margin = Margins.From(_bands.OneMinute, settings.Fill, _film.Trips);
        _assessment.Forecast = ForecastEstimate.Unknown;
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

        bool isGood = reading.Quality != Quality.Bad;
        double sinceGood = Seconds(reading.Ticks - _lastGoodTicks);
        if (isGood)
        {
            Measure(reading, a, sinceGood);
            _board.Step(
                a,
                _signs.Signs,
                sinceGood,
                isJudged: a.Regime is { CountsForStatistics: true, Settling: false }
            );
            _lastGoodTicks = reading.Ticks;
        }
        _board.StepDataLost(a, _signs.Signs, sinceGood, elapsed);
        return a;
    }

    /// <summary>Which conditions are raised now, with their latest transition; null where not raised. Indexed by <see cref="Condition"/>.</summary>
    public ConditionTransition? Open(Condition condition) => _board[condition];

    /// <summary>Readings ignored because their time did not move forward.</summary>
    public long IgnoredReadings { get; private set; }

    private void Measure(in Reading reading, Assessment a, double elapsed)
    {
        a.Fill = _fillScale.Next(reading);
        a.Regime = _regimes.Next(reading, a.Fill);
        a.Roll = _roll.Next(reading, a.Regime, TurnSeen(a.Oscillation));
        if (!double.IsFinite(a.Fill.Percent))
            return;
        if (a.Regime.ProductChanged || a.Fill.SetPointsChanged)
            Forget();
        if (elapsed > LongestHoleSeconds)
            _film.Restart();
        _signs.Add(elapsed, a.Fill, a.Regime, _film.Flow, reading[Signal.UnwindSpeed]);
        if (a.Regime.CountsForStatistics)
            MeasureRunning(reading, a);
        else if (a.Regime.Changed)
            Stand(a);
        if (IsDue(ref _sinceRankSeconds, RankSeconds, elapsed))
        {
            a.OneMinute = _bands.OneMinute;
            a.Margin = Margins.From(a.OneMinute, _fillSettings, _film.Trips);
            _signs.Gather(a.Fill, a.Oscillation, a.Roll);
            a.Causes = CauseRanker.Rank(_signs.Signs);
        }
        if (IsDue(ref _sinceLongBandsSeconds, LongBandsSeconds, elapsed))
        {
            a.FifteenMinutes = _bands.FifteenMinutes;
            a.EightHours = _bands.EightHours;
        }
    }

    private static bool IsDue(ref double sinceSeconds, double periodSeconds, double elapsedSeconds)
    {
        sinceSeconds += elapsedSeconds;
        if (sinceSeconds < periodSeconds)
            return false;
        sinceSeconds = 0;
        return true;
    }

    private static double TurnSeen(in OscillationEstimate oscillation) =>
        oscillation.Rhythm == Rhythm.RollTurn ? oscillation.FrequencyHz / oscillation.Multiple : double.NaN;

    private void MeasureRunning(in Reading reading, Assessment a)
    {
        if (a.Regime.Changed)
            _film.Restart();
        double seconds = Seconds(reading.Ticks);
        double fill = a.Fill.Percent;
        a.Oscillation = _oscillation.Next(
            seconds,
            fill,
            reading[Signal.UnwindSpeed],
            reading[Signal.CycleRate] / 60,
            a.Roll.TurnHz
        );
        if (_film.Add(seconds, fill, reading, out FilmBlock block))
            _signs.Add(block, a.Fill.TargetPercent, _percentPerMeterPerMinute);
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

    private void Forget()
    {
        _film.Forget();
        _signs.ForgetUsual();
        _oscillation.Reset();
        _bands.Reset();
    }

    private static double Seconds(long ticks) => (double)ticks / TimeSpan.TicksPerSecond;
}
