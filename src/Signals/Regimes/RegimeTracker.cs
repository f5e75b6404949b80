using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Regimes;

/// <summary>
/// What the machine is doing, from whatever signals there are; from unwind speed and gap alone if need be. A regime that
/// counts is entered late and left early, so that no start, stop or roll change colours statistics. Takes uneven times; a
/// reading that failed, or is not later than the one before, changes nothing; after a hole of 5 s everything begins anew.
/// Not thread-safe; allocates nothing per reading.
/// </summary>
public sealed class RegimeTracker
{
    /// <summary>After a hole in the readings this long the machine may have done anything, s.</summary>
    private const double LongestHoleSeconds = 5;

    /// <summary>A start is over once speed is the same over two spans of this length, s: each spans the slowest cycle.</summary>
    private const double SettleBlockSeconds = 2;
    private const double SettledShare = 0.15;

    /// <summary>A start that never settles is over all the same, s; an intermittent unwind may never look steady.</summary>
    private const double LongestStartSeconds = 8;

    /// <summary>Film is at rest when the unwind has stood so long, s.</summary>
    private const double RestSeconds = 1;

    /// <summary>A stop is over all the same after this, s; the unwind may creep for reasons of its own.</summary>
    private const double LongestStopSeconds = 10;

    /// <summary>How long consumers should hold off after what upsets the film without being a fault, s.</summary>
    private const double SettlingSeconds = 5;

    /// <summary>A dancer that goes through so much of its travel at standstill is moved by someone threading film, %.</summary>
    private const double ThreadingPercent = 50;

    private readonly FilmDraw _film;
    private readonly TripSigns _trips;
    private readonly DiameterJump _roll = new();
    private readonly HeldSignal _product = new();
    private readonly BlockMean _start = new();
    private readonly SpeedEra _era = new();
    private RegimeEstimate _last;
    private bool _isStarted;
    private bool _isPause; // a stopping that may turn out to be a pause of the cycle
    private long _ticks;
    private long _sinceTicks;
    private long _upsetTicks = long.MinValue / 2;
    private double _lowestFill;
    private double _highestFill;
    private double _productNumber = double.NaN;

    /// <param name="settings">Where the machine trips.</param>
    public RegimeTracker(FillSettings settings)
    {
        ArgumentNullException.ThrowIfNull(settings);
        _film = new FilmDraw(settings.StorageMillimeters);
        _trips = new TripSigns(settings);
    }

    /// <summary>Where the dancer stood before the last start, %; NaN where the start was seen at once.</summary>
    internal double StoodPercent => _film.StoodPercent;

    /// <summary>The regime at a reading, whose fill is known already.</summary>
    /// <param name="pull">How the machine has taken film while it ran.</param>
    public RegimeEstimate Next(in Reading reading, in FillEstimate fill, UsualPull pull = default)
    {
        if (reading.Quality == Quality.Bad || (_isStarted && reading.Ticks <= _ticks))
            return _last with { Changed = false, ProductChanged = false, RollChanged = false };
        double seconds = _isStarted ? Seconds(reading.Ticks - _ticks) : 0;
        if (!_isStarted)
            _sinceTicks = reading.Ticks;
        _isStarted = true;
        _ticks = reading.Ticks;

        double percent = fill.Fault == FillFault.None ? fill.Percent : double.NaN;
        _film.Next(reading, percent, pull, _last.Regime == Regime.Tripped);
        _trips.Next(reading, percent);
        bool isOtherRoll = _roll.Next(reading, Math.Min(seconds, LongestHoleSeconds));
        bool isOtherProduct = IsOtherProduct(reading);

        Regime before = seconds > LongestHoleSeconds ? Regime.Unknown : _last.Regime;
        (Regime regime, Side trip) = Follow(before, percent, seconds, isOtherRoll);
        bool isChanged = regime != _last.Regime;
        if (isChanged)
            Enter(regime, before, percent);
        if (regime == Regime.Running)
            isOtherProduct |= _era.Add(_film.Speed, _film.IsLineSpeed, seconds);
        if (isOtherProduct || isOtherRoll || fill.SetPointsChanged || (isChanged && regime == Regime.Running))
            _upsetTicks = _ticks;
        _last = new RegimeEstimate(regime, Seconds(_ticks - _sinceTicks), isChanged, trip, isOtherProduct)
        {
            RollChanged = isOtherRoll,
            Settling = regime == Regime.Running && Seconds(_ticks - _upsetTicks) < SettlingSeconds,
        };
        return _last;
    }

    /// <summary>Carries its memory.</summary>
    internal void Keep(Ledger ledger)
    {
        ledger.Open("Regm"u8);
        _film.Keep(ledger);
        _trips.Keep(ledger);
        _roll.Keep(ledger);
        _product.Keep(ledger);
        _start.Keep(ledger);
        _era.Keep(ledger);
        _last = ledger.Keep(_last);
        _isStarted = ledger.Keep(_isStarted);
        _isPause = ledger.Keep(_isPause);
        _ticks = ledger.Ticks(_ticks);
        _sinceTicks = ledger.Ticks(_sinceTicks);
        _upsetTicks = ledger.Ticks(_upsetTicks);
        _lowestFill = ledger.Keep(_lowestFill);
        _highestFill = ledger.Keep(_highestFill);
        _productNumber = ledger.Keep(_productNumber);
    }

    private (Regime Regime, Side Trip) Follow(Regime before, double percent, double seconds, bool isOtherRoll)
    {
        if (_trips.Told != Side.None)
            return (Regime.Tripped, _trips.Told);
        bool isDrawing = _film.Draw == Draw.Drawing;
        switch (before)
        {
            case Regime.Unknown:
                return _film.Draw switch
                {
                    Draw.Drawing => (Regime.Starting, Side.None),
                    Draw.Still => (Regime.Stopped, Side.None),
                    _ => (Regime.Unknown, Side.None),
                };
            case Regime.Starting:
                return (isDrawing ? AfterStart(seconds) : Regime.Stopping, Side.None);
            case Regime.Running:
                return (isDrawing ? Regime.Running : Regime.Stopping, Side.None);
            case Regime.Stopping when isDrawing:
                return (_isPause ? Regime.Running : Regime.Starting, Side.None);
            case Regime.Stopping:
                return AfterStop();
            case var _ when isDrawing:
                return (Regime.Starting, Side.None);
            case Regime.Tripped when !_trips.Tells(_last.TripSide) && !isOtherRoll:
                return (Regime.Tripped, _last.TripSide); // inferred: only film that moves ends it
            case Regime.RollChange:
                return (Regime.RollChange, Side.None);
            case Regime.Stopped when IsThreading(percent):
                return (Regime.RollChange, Side.None);
            default:
                return (isOtherRoll ? Regime.RollChange : Regime.Stopped, Side.None);
        }
    }

    private Regime AfterStart(double seconds)
    {
        bool isBlock = _start.Add(_film.Speed, seconds, SettleBlockSeconds);
        bool isSettled = isBlock && _start.IsSteady(SettledShare);
        return isSettled || Seconds(_ticks - _sinceTicks) >= LongestStartSeconds
            ? Regime.Running
            : Regime.Starting;
    }

    private (Regime Regime, Side Trip) AfterStop()
    {
        _isPause &= _film.Draw == Draw.Pausing;
        Side trip = _trips.InferredAt(_ticks);
        if (trip != Side.None)
            return (Regime.Tripped, trip);
        bool isAtRest =
            _film.Draw == Draw.Still
            && (
                _film.UnwindStoodSeconds >= RestSeconds || Seconds(_ticks - _sinceTicks) >= LongestStopSeconds
            );
        return (isAtRest ? Regime.Stopped : Regime.Stopping, Side.None);
    }

    private void Enter(Regime regime, Regime before, double percent)
    {
        _sinceTicks = _ticks;
        switch (regime)
        {
            case Regime.Starting:
                _start.Clear();
                _trips.Forget();
                break;
            case Regime.Stopping:
                _isPause = before == Regime.Running && _film.Draw == Draw.Pausing;
                _era.Pause();
                break;
            case Regime.Stopped:
                _lowestFill = _highestFill = percent;
                break;
        }
    }

    private bool IsThreading(double percent)
    {
        if (double.IsNaN(percent))
            return false;
        _lowestFill = double.IsNaN(_lowestFill) ? percent : Math.Min(_lowestFill, percent);
        _highestFill = double.IsNaN(_highestFill) ? percent : Math.Max(_highestFill, percent);
        return _highestFill - _lowestFill >= ThreadingPercent;
    }

    private bool IsOtherProduct(in Reading reading)
    {
        _product.Next(reading[Signal.Product], reading.Ticks);
        if (!_product.IsKnown || _product.Value == _productNumber)
            return false;
        bool isFirst = double.IsNaN(_productNumber);
        _productNumber = _product.Value;
        return !isFirst;
    }

    private static double Seconds(long ticks) => (double)ticks / TimeSpan.TicksPerSecond;
}
