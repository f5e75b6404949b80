using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Regimes;

/// <summary>
/// Which trip the machine holds: by its trip signals; for a side without one, by fill that was past the trip level for the
/// hold time, just before film stopped.
/// </summary>
internal sealed class TripSigns(FillSettings settings)
{
    /// <summary>A stop so soon after fill was past its limit is that limit's trip, s.</summary>
    private const double StopWithinSeconds = 4;

    private static readonly long s_stopWithinTicks = (long)(StopWithinSeconds * TimeSpan.TicksPerSecond);

    private readonly long _holdTicks = (long)(settings.TripHoldSeconds * TimeSpan.TicksPerSecond);
    private readonly HeldSignal _fullTrip = new();
    private readonly HeldSignal _emptyTrip = new();
    private Side _pastSide;
    private long _pastSinceTicks;
    private Side _heldSide;
    private long _heldTicks;

    /// <summary>The trip that the controller says it holds.</summary>
    public Side Told =>
        _fullTrip.IsOn ? Side.Full
        : _emptyTrip.IsOn ? Side.Empty
        : Side.None;

    /// <summary>The controller tells of trips of that side.</summary>
    public bool Tells(Side side) =>
        side switch
        {
            Side.Full => _fullTrip.IsKnown,
            Side.Empty => _emptyTrip.IsKnown,
            _ => false,
        };

    public void Next(in Reading reading, double fillPercent)
    {
        _fullTrip.Next(reading[Signal.FullSideTrip], reading.Ticks);
        _emptyTrip.Next(reading[Signal.EmptySideTrip], reading.Ticks);
        Side side =
            fillPercent > settings.FullTripPercent ? Side.Full
            : fillPercent < settings.EmptyTripPercent ? Side.Empty
            : Side.None;
        if (side != _pastSide)
        {
            _pastSide = side;
            _pastSinceTicks = reading.Ticks;
        }
        if (side != Side.None && reading.Ticks - _pastSinceTicks >= _holdTicks)
        {
            _heldSide = side;
            _heldTicks = reading.Ticks;
        }
    }

    /// <summary>The trip that a stop at this time must be; none where the controller would have told of it.</summary>
    public Side InferredAt(long ticks) =>
        ticks - _heldTicks <= s_stopWithinTicks && !Tells(_heldSide) ? _heldSide : Side.None;

    /// <summary>Film moves again: what fill did before says nothing of the next stop.</summary>
    public void Forget() => _heldSide = Side.None;

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("TSgn"u8);
        _fullTrip.Keep(ledger);
        _emptyTrip.Keep(ledger);
        _pastSide = ledger.Keep(_pastSide);
        _heldSide = ledger.Keep(_heldSide);
        _pastSinceTicks = ledger.Ticks(_pastSinceTicks);
        _heldTicks = ledger.Ticks(_heldTicks);
    }
}
