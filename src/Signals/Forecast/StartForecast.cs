using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// Seconds until a trip while the machine starts, when neither cycle nor trend is known yet: film in less film out, drawn
/// on for a moment. It speaks only where fill is further out than it was while running or in the starts before.
/// </summary>
/// <param name="fill">Where the machine trips, and the storage.</param>
internal sealed class StartForecast(FillSettings fill)
{
    /// <summary>Speeds are followed with this lag, s: shorter than any trip, longer than a pull's own jerk.</summary>
    private const double LagSeconds = 0.25;

    /// <summary>A start that is to settle is on its way to target by itself: nothing further ahead is foretold, s.</summary>
    private const double HorizonSeconds = 1.5;

    /// <summary>A dancer that a hand has left near an end must move on from there by so much, %.</summary>
    private const double ClearPercent = 5;

    /// <summary>So near to a trip no start is usual, %.</summary>
    private const double NearPercent = 20;

    private const int Starts = 8;
    private const double MillimetersPerSecond = 1000.0 / 60; // of one m/min

    private readonly double _percentPerMeterPerMinute = 100 * MillimetersPerSecond / fill.StorageMillimeters;
    private readonly (double Lowest, double Highest)[] _starts = new (double, double)[Starts];
    private int _count;
    private double _rate;
    private double _stood;
    private double _lowest;
    private double _highest;

    /// <summary>The side that is approached, and when its trip comes, s; none, infinity.</summary>
    public (Side Side, double Seconds) Next { get; private set; } = (Side.None, double.PositiveInfinity);

    /// <summary>The machine starts.</summary>
    /// <param name="stoodPercent">Where the dancer stood before, %; NaN where that is where the first reading finds it.</param>
    public void Begin(double stoodPercent = double.NaN)
    {
        _stood = stoodPercent;
        _rate = 0;
        _lowest = double.PositiveInfinity;
        _highest = double.NegativeInfinity;
        Next = (Side.None, double.PositiveInfinity);
    }

    /// <summary>It runs: so this is how a start may look.</summary>
    public void End()
    {
        if (_lowest <= _highest)
            _starts[_count++ % Starts] = (_lowest, _highest);
        Next = (Side.None, double.PositiveInfinity);
    }

    /// <summary>Takes a reading of a start.</summary>
    /// <param name="fillNow">%.</param>
    /// <param name="elapsedSeconds">Since the one before, s.</param>
    /// <param name="surplus">Film in less film out, m/min; NaN where not known.</param>
    /// <param name="lowest">Lowest fill while it ran, %; NaN where not known: nothing is foretold.</param>
    /// <param name="highest">Highest.</param>
    public void Add(double fillNow, double elapsedSeconds, double surplus, double lowest, double highest)
    {
        if (double.IsNaN(lowest))
            return;
        double share = elapsedSeconds / (elapsedSeconds + LagSeconds);
        if (double.IsFinite(surplus))
            _rate += ((surplus * _percentPerMeterPerMinute) - _rate) * share;
        for (int i = 0; i < Math.Min(_count, Starts); i++)
            (lowest, highest) = (Math.Min(lowest, _starts[i].Lowest), Math.Max(highest, _starts[i].Highest));
        if (double.IsNaN(_stood))
            _stood = fillNow;
        _lowest = Math.Min(_lowest, fillNow);
        _highest = Math.Max(_highest, fillNow);
        // What was usual may have been the way to the last trip.
        lowest = Math.Min(Math.Max(lowest, fill.EmptyTripPercent + NearPercent), _stood - ClearPercent);
        highest = Math.Max(Math.Min(highest, fill.FullTripPercent - NearPercent), _stood + ClearPercent);
        if (fillNow < Math.Min(fill.EmptyTripPercent, _stood - ClearPercent))
            Foretell(Side.Empty, 0);
        else if (fillNow > Math.Max(fill.FullTripPercent, _stood + ClearPercent))
            Foretell(Side.Full, 0);
        else if (fillNow < lowest && _rate < 0)
            Foretell(Side.Empty, (fillNow - fill.EmptyTripPercent) / -_rate);
        else if (fillNow > highest && _rate > 0)
            Foretell(Side.Full, (fill.FullTripPercent - fillNow) / _rate);
        else
            Next = (Side.None, double.PositiveInfinity);
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Strt"u8);
        ledger.Keep(_starts.AsSpan());
        _count = ledger.Count(_count);
        _rate = ledger.Keep(_rate);
        _stood = ledger.Keep(_stood);
        _lowest = ledger.Keep(_lowest);
        _highest = ledger.Keep(_highest);
        Next = ledger.Keep(Next);
    }

    private void Foretell(Side side, double seconds) =>
        Next =
            seconds < HorizonSeconds
                ? (side, Math.Max(0, seconds) + fill.TripHoldSeconds)
                : (Side.None, double.PositiveInfinity);
}
