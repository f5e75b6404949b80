using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Regimes;

namespace Dancerwatch.Signals.Causes;

/// <summary>Fill gained after each stop: what the roll still gave off once the machine drew no more.</summary>
internal sealed class OverrunTracker
{
    /// <summary>A stop is judged over this long at most, s.</summary>
    private const double LongestSeconds = 8;

    /// <summary>
    /// Once the roll has stood this long, s, whatever moves the dancer is no film from the roll: a hand, or the air.
    /// </summary>
    private const double StandingSeconds = 0.5;

    /// <summary>The roll stands below this share of its running speed.</summary>
    private const double StandingShare = 0.02;

    /// <summary>Share of a stop's difference that the usual overrun follows: slow, so that a brake that wears stands out.</summary>
    private const double FollowShare = 0.03;

    /// <summary>
    /// The first stops tell what is usual, the largest of them: where in its cycle the machine stops moves the dancer too.
    /// </summary>
    private const int LearningStops = 6;

    /// <summary>After fewer stops nothing is usual yet.</summary>
    private const int FewestStops = 3;

    /// <summary>A run that lasted less may be hands that turned the roll, s.</summary>
    private const double ShortestRunSeconds = 15;

    private double _runningSeconds;
    private double _fillRunning = double.NaN;
    private double _unwindRunning;
    private double _standingSeconds;
    private double _stoppedSeconds = double.NaN;
    private double _before = double.NaN;
    private double _mean = double.NaN;
    private int _stops;

    /// <summary>Fill gained after the last stop, %; NaN before the first.</summary>
    public double LastPercent { get; private set; } = double.NaN;

    /// <summary>Highest fill after the last stop, %; NaN before the first.</summary>
    public double HighestPercent { get; private set; } = double.NaN;

    /// <summary>What earlier stops gained: the largest of the first few, then a slow mean, %; NaN until there were a few.</summary>
    public double UsualPercent { get; private set; } = double.NaN;

    /// <summary>Takes a reading with a finite fill.</summary>
    /// <param name="cycleMean">Mean fill over the last cycles while running, %; NaN where unknown.</param>
    /// <param name="unwind">Unwind speed, m/min.</param>
    public void Add(
        double elapsedSeconds,
        in FillEstimate fill,
        double cycleMean,
        double unwind,
        Regime regime
    )
    {
        switch (regime)
        {
            case Regime.Running:
                if (IsJudging)
                    Judge();
                _runningSeconds += elapsedSeconds;
                if (_runningSeconds < ShortestRunSeconds)
                    return;
                _fillRunning = double.IsNaN(cycleMean) ? fill.Percent : cycleMean;
                if (double.IsFinite(unwind))
                    _unwindRunning = Math.Max(unwind, 0.99 * _unwindRunning);
                return;
            case Regime.Stopping or Regime.Stopped when !double.IsNaN(_fillRunning):
                Follow(elapsedSeconds, fill, unwind);
                return;
            default: // a start, a trip or a roll change moves the dancer for other reasons
                if (IsJudging)
                    Judge();
                _fillRunning = double.NaN;
                _runningSeconds = 0;
                return;
        }
    }

    /// <summary>The last stop is over: it ended in a trip. What is usual stays.</summary>
    public void ForgetLast() =>
        LastPercent = HighestPercent = _before = _stoppedSeconds = _fillRunning = double.NaN;

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Over"u8);
        _runningSeconds = ledger.Keep(_runningSeconds);
        _fillRunning = ledger.Keep(_fillRunning);
        _unwindRunning = ledger.Keep(_unwindRunning);
        _standingSeconds = ledger.Keep(_standingSeconds);
        _stoppedSeconds = ledger.Keep(_stoppedSeconds);
        _before = ledger.Keep(_before);
        _mean = ledger.Keep(_mean);
        _stops = ledger.Keep(_stops);
        LastPercent = ledger.Keep(LastPercent);
        HighestPercent = ledger.Keep(HighestPercent);
        UsualPercent = ledger.Keep(UsualPercent);
    }

    private bool IsJudging => !double.IsNaN(_stoppedSeconds);

    private void Follow(double elapsedSeconds, in FillEstimate fill, double unwind)
    {
        if (!IsJudging)
        {
            _stoppedSeconds = _standingSeconds = 0;
            HighestPercent = fill.Percent;
        }
        _stoppedSeconds += elapsedSeconds;
        HighestPercent = Math.Max(HighestPercent, fill.Percent);
        // An accumulator that stood below target is filled up to it by its controller: that is no overrun.
        LastPercent = HighestPercent - Math.Max(_fillRunning, fill.TargetPercent);
        _standingSeconds = unwind < StandingShare * _unwindRunning ? _standingSeconds + elapsedSeconds : 0;
        if (_stoppedSeconds >= LongestSeconds || _standingSeconds >= StandingSeconds)
            Judge();
    }

    private void Judge()
    {
        if (!double.IsNaN(_before))
        {
            _stops++;
            _mean =
                double.IsNaN(_mean) ? _before
                : _stops <= LearningStops ? Math.Max(_mean, _before)
                : _mean + (FollowShare * (_before - _mean));
            UsualPercent = _stops < FewestStops ? double.NaN : _mean;
        }
        _before = LastPercent;
        _stoppedSeconds = _fillRunning = double.NaN;
    }
}
