using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Regimes;

/// <summary>Whether the machine draws film.</summary>
internal enum Draw
{
    Unknown,
    Still,

    /// <summary>Nothing has moved for longer than a pause of the cycle usually lasts, not yet long enough for a stop.</summary>
    Pausing,
    Drawing,
}

/// <summary>
/// Tells whether the machine draws film by the best witness there is: its <c>running</c> signal; else line speed, with
/// hysteresis; else the unwind. An intermittent machine lets the unwind stand for a part of each cycle, and an unwind that
/// fails leaves the machine drawing the accumulator empty: so without a better witness film counts as drawn until the unwind
/// has stood, and the dancer gone no further down, for longer than a cycle's pause.
/// </summary>
/// <param name="storageMillimeters">Film between empty and full, mm; NaN where unknown.</param>
internal sealed class FilmDraw(double storageMillimeters)
{
    /// <summary>Speed above which film moves, m/min. The slowest job in the trade (30 bags of 80 mm a minute) draws 2.4.</summary>
    private const double MovesAbove = 1;

    /// <summary>Speed below which it stands again, m/min.</summary>
    private const double StandsBelow = 0.5;

    /// <summary>A dancer that goes further down than this from where it was has given film, % of fill.</summary>
    private const double DancerGives = 3;

    /// <summary>Fill is followed with this lag, s, so that the noise of a bad sensor is no movement.</summary>
    private const double FillLagSeconds = 0.3;

    /// <summary>Half of the slowest cycle, 30 a minute, is 1 s; pauses are longer than that only at a stop.</summary>
    private const double PauseSeconds = 1.2;

    /// <summary>The slowest cycle, 30 a minute, and a little more, s.</summary>
    private const double LongestCycleSeconds = 2.2;

    /// <summary>After so long it is a stop, s.</summary>
    private const double StopSeconds = 3;

    /// <summary>Nothing is known of what happened in longer holes of the readings, s.</summary>
    private const double LongestStepSeconds = 1;

    private readonly HeldSignal _running = new();
    private readonly HeldSignal _lineSpeed = new();
    private bool _isLineMoving;
    private readonly DrawnFilm _drawn = new(storageMillimeters);
    private readonly BagPulls _pulls = new(storageMillimeters);
    private double _fill = double.NaN;
    private double _dancerStood = double.NaN;
    private long _ticks;
    private long _unwindMovedTicks;
    private long _anyMovedTicks;
    private bool _isUnwindSeen;
    private bool _isUnwindMoving;

    public Draw Draw { get; private set; }

    /// <summary>Line speed where known, else unwind speed, m/min; NaN where neither is.</summary>
    public double Speed { get; private set; }

    /// <summary><see cref="Speed"/> is the line's: smooth over the cycle, and untouched by the dancer.</summary>
    public bool IsLineSpeed => _lineSpeed.IsKnown;

    /// <summary>How long the unwind has stood, s.</summary>
    public double UnwindStoodSeconds { get; private set; }

    /// <summary>Where the dancer stood before a start on a roll that is held, %; NaN at any other.</summary>
    public double StoodPercent { get; private set; } = double.NaN;

    /// <summary>Takes a reading.</summary>
    /// <param name="fillPercent">NaN where unknown.</param>
    /// <param name="pull">Of the machine when it ran.</param>
    /// <param name="isStartLikely">It has tripped, and the dancer is to be put where it belongs and the machine started again.</param>
    public void Next(in Reading reading, double fillPercent, UsualPull pull, bool isStartLikely)
    {
        long ticks = reading.Ticks;
        _running.Next(reading[Signal.Running], ticks);
        _lineSpeed.Next(reading[Signal.LineSpeed], ticks);
        _isLineMoving = _lineSpeed.Value > (_isLineMoving ? StandsBelow : MovesAbove);
        double seconds = Math.Clamp(Seconds(ticks - _ticks), 0, LongestStepSeconds);
        _ticks = ticks;
        Witness(seconds, reading[Signal.UnwindSpeed], fillPercent);
        Speed = _lineSpeed.IsKnown ? _lineSpeed.Value : reading[Signal.UnwindSpeed];

        if (_running.IsKnown)
            Draw = _running.IsOn ? Draw.Drawing : Draw.Still;
        else if (_lineSpeed.IsKnown)
            Draw = _isLineMoving ? Draw.Drawing : Draw.Still;
        else if (_isUnwindSeen)
            Draw = ByUnwind(seconds, fillPercent, pull, isStartLikely);
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Draw"u8);
        _running.Keep(ledger);
        _lineSpeed.Keep(ledger);
        _isLineMoving = ledger.Keep(_isLineMoving);
        _drawn.Keep(ledger);
        _pulls.Keep(ledger);
        StoodPercent = ledger.Keep(StoodPercent);
        _fill = ledger.Keep(_fill);
        _dancerStood = ledger.Keep(_dancerStood);
        _ticks = ledger.Ticks(_ticks);
        _unwindMovedTicks = ledger.Ticks(_unwindMovedTicks);
        _anyMovedTicks = ledger.Ticks(_anyMovedTicks);
        _isUnwindSeen = ledger.Keep(_isUnwindSeen);
        _isUnwindMoving = ledger.Keep(_isUnwindMoving);
        Draw = ledger.Keep(Draw);
        Speed = ledger.Keep(Speed);
        UnwindStoodSeconds = ledger.Keep(UnwindStoodSeconds);
    }

    private void Witness(double seconds, double unwindSpeed, double fillPercent)
    {
        long ticks = _ticks;
        _isUnwindMoving = Math.Abs(unwindSpeed) > MovesAbove;
        if (_isUnwindMoving || !_isUnwindSeen)
            _unwindMovedTicks = _anyMovedTicks = ticks;
        _isUnwindSeen |= double.IsFinite(unwindSpeed);
        UnwindStoodSeconds = Seconds(ticks - _unwindMovedTicks);

        _drawn.Next(seconds, unwindSpeed, fillPercent, _isUnwindMoving, UnwindStoodSeconds);
        if (double.IsNaN(fillPercent))
            return;
        _fill = double.IsNaN(_fill)
            ? fillPercent
            : _fill + ((fillPercent - _fill) * seconds / (seconds + FillLagSeconds));
        if (_dancerStood - _fill > DancerGives)
        {
            _dancerStood = _fill;
            _anyMovedTicks = ticks;
        }
        else if (!(_dancerStood > _fill))
            _dancerStood = _fill;
    }

    private Draw ByUnwind(double seconds, double fillPercent, UsualPull pull, bool isStartLikely)
    {
        if (Draw is Draw.Still or Draw.Unknown)
            return AtStandstill(seconds, fillPercent, pull, isStartLikely);
        // An unwind that stands pauses for a part of the cycle; a dancer that alone gives film is seen to fall once a cycle.
        double pause = _anyMovedTicks > _unwindMovedTicks ? LongestCycleSeconds : PauseSeconds;
        return Seconds(_ticks - _anyMovedTicks) switch
        {
            var still when still <= pause => Draw.Drawing,
            <= StopSeconds => Draw.Pausing,
            _ => Draw.Still,
        };
    }

    /// <summary>
    /// A dancer that moves at standstill is moved by hand: only film that is drawn from the roll ends a stop, or the machine's
    /// own pulls.
    /// </summary>
    private Draw AtStandstill(double seconds, double fillPercent, UsualPull pull, bool isStartLikely)
    {
        if (_isUnwindMoving)
            _pulls.Clear();
        else
            _pulls.Next(seconds, fillPercent, pull, isStartLikely ? 1 : 2);
        if (!_drawn.IsCertain && !_pulls.IsCertain)
            return UnwindStoodSeconds > StopSeconds ? Draw.Still : Draw;
        StoodPercent = _pulls.IsCertain ? _pulls.StoodPercent : double.NaN;
        _pulls.Clear();
        _anyMovedTicks = _ticks;
        return Draw.Drawing;
    }

    private static double Seconds(long ticks) => (double)ticks / TimeSpan.TicksPerSecond;
}
