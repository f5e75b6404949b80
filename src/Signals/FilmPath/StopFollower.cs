using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Regimes;

namespace Dancerwatch.Signals.FilmPath;

/// <summary>What one stop did to the film.</summary>
/// <param name="OverrunPercent">
/// Fill gained after the machine drew no more, by what the roll still gave off, beyond target fill, %; NaN where no line
/// speed says when the draw ended.
/// </param>
/// <param name="SlackMillimeters">Film the roll gave off although the dancer stood past full, mm: no longer held taut.</param>
/// <param name="HighestPercent">Highest fill while the roll still gave film, %.</param>
internal readonly record struct StopFinding(
    double OverrunPercent,
    double SlackMillimeters,
    double HighestPercent
);

/// <summary>Follows the film from the end of running until the roll stands. O(1) a reading.</summary>
internal sealed class StopFollower
{
    /// <summary>A stop is followed for this long at most, s.</summary>
    private const double LongestSeconds = 10;

    /// <summary>Once the roll has stood this long, s, whatever moves the dancer is no film from the roll: a hand, or the air.</summary>
    private const double StandingSeconds = 0.5;

    /// <summary>Slower is standing, m/min.</summary>
    private const double StandsBelow = 0.5;

    private const double FullPercent = 100;
    private const double MillimetersPerSecond = 1000.0 / 60; // of one m/min

    private bool _hasRun;
    private bool _isDrawing;
    private bool _knowsLine;
    private double _seconds;
    private double _standingSeconds;
    private double _from;
    private double _highest;
    private double _slack;

    /// <summary>A stop is being followed.</summary>
    public bool IsFollowing { get; private set; }

    /// <summary>What the stop under way, or else the last one, did so far.</summary>
    public StopFinding Finding { get; private set; } = new(double.NaN, double.NaN, double.NaN);

    /// <summary>Takes a reading with a finite fill.</summary>
    /// <param name="elapsedSeconds">Since the reading before, s.</param>
    /// <param name="fill">Fill and target.</param>
    /// <param name="unwind">Unwind speed, m/min.</param>
    /// <param name="line">Line speed, m/min; NaN where not known.</param>
    /// <param name="regime">What the machine does.</param>
    /// <returns>True where a stop has just ended; <see cref="Finding"/> tells of it.</returns>
    public bool Add(double elapsedSeconds, in FillEstimate fill, double unwind, double line, Regime regime)
    {
        switch (regime)
        {
            case Regime.Running:
                bool wasFollowing = IsFollowing;
                IsFollowing = false;
                _hasRun = true;
                return wasFollowing;
            case Regime.Stopping or Regime.Stopped when _hasRun:
            case Regime.Tripped when IsFollowing:
                return Follow(elapsedSeconds, fill, unwind, line);
            default: // a start or a roll change moves the dancer for other reasons
                bool ended = IsFollowing;
                IsFollowing = _hasRun = false;
                return ended;
        }
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Stop"u8);
        _hasRun = ledger.Keep(_hasRun);
        _isDrawing = ledger.Keep(_isDrawing);
        _knowsLine = ledger.Keep(_knowsLine);
        _seconds = ledger.Keep(_seconds);
        _standingSeconds = ledger.Keep(_standingSeconds);
        _from = ledger.Keep(_from);
        _highest = ledger.Keep(_highest);
        _slack = ledger.Keep(_slack);
        IsFollowing = ledger.Keep(IsFollowing);
        Finding = ledger.Keep(Finding);
    }

    private bool Follow(double elapsedSeconds, in FillEstimate fill, double unwind, double line)
    {
        if (!IsFollowing)
        {
            IsFollowing = true;
            _isDrawing = true;
            _knowsLine = false;
            _seconds = _standingSeconds = _slack = 0;
        }
        _seconds += elapsedSeconds;
        _knowsLine |= double.IsFinite(line);
        if (_isDrawing)
        {
            // An accumulator that stood below target is filled up to it by its controller: that is no overrun.
            _from = Math.Max(fill.Percent, fill.TargetPercent);
            _highest = fill.Percent;
            if (double.IsFinite(line) || !_knowsLine)
                _isDrawing = line >= StandsBelow;
        }
        bool gives = unwind >= StandsBelow;
        _standingSeconds = gives ? 0 : _standingSeconds + elapsedSeconds;
        _highest = Math.Max(_highest, fill.Percent);
        if (gives && fill.Percent >= FullPercent)
            _slack += unwind * MillimetersPerSecond * elapsedSeconds;
        double gained = _isDrawing ? 0 : Math.Max(0, _highest - _from);
        Finding = new(_knowsLine ? gained : double.NaN, _slack, _highest);
        bool isOver = _seconds >= LongestSeconds || (!_isDrawing && _standingSeconds >= StandingSeconds);
        if (isOver)
            IsFollowing = _hasRun = false;
        return isOver;
    }
}
