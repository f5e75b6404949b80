namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// The machine's own protection. Trips when the controller's fill passes a limit by the overtravel, or the dancer itself makes
/// an end-of-travel switch, and stays there for the hold time. Latched until cleared.
/// </summary>
internal sealed class TripLatch(double overtravelPercent, double holdSeconds)
{
    // Of the dancer itself, whatever the sensor says; just inside its hard stops.
    private const double SwitchPercent = 12;

    private double _pastFullSeconds;
    private double _pastEmptySeconds;

    public bool Full { get; private set; }
    public bool Empty { get; private set; }
    public bool IsTripped => Full || Empty;

    public void Scan(double fillPercent, double dancerPercent, double scanSeconds)
    {
        if (IsTripped)
            return;
        bool pastFull = fillPercent > 100 + overtravelPercent || dancerPercent > 100 + SwitchPercent;
        bool pastEmpty = fillPercent < -overtravelPercent || dancerPercent < -SwitchPercent;
        _pastFullSeconds = pastFull ? _pastFullSeconds + scanSeconds : 0;
        _pastEmptySeconds = pastEmpty ? _pastEmptySeconds + scanSeconds : 0;
        Full = _pastFullSeconds >= holdSeconds;
        Empty = !Full && _pastEmptySeconds >= holdSeconds;
    }

    public void Clear()
    {
        Full = Empty = false;
        _pastFullSeconds = _pastEmptySeconds = 0;
    }
}
