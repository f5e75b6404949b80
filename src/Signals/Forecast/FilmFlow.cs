using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// How fast fill moves, from two sides that know nothing of each other: the gap itself, a cycle apart, and the film
/// balance, unwind less draw over storage. O(1) a reading.
/// </summary>
/// <remarks>
/// Same phase: over a whole cycle T the swing cancels, and the derivative of the cycle mean is (f(t) - f(t - T)) / T.
/// Balance: d(fill)/dt = 100 (v_in - v_out) / storage. The draw is the line speed where it is known, else what the unwind
/// delivered over the last <see cref="DrawSeconds"/> seconds less what fill gained meanwhile.
/// </remarks>
internal sealed class FilmFlow
{
    /// <summary>Readings are averaged over this time before they are compared, s.</summary>
    private const double SmoothSeconds = 0.1;

    /// <summary>Time over which an unknown draw is learned, s.</summary>
    private const double DrawSeconds = 16;

    /// <summary>A drop is judged by the mean of this time, s.</summary>
    private const double DropSeconds = 0.3;

    private const double MillimetersPerSecond = 1000.0 / 60; // of one m/min

    private readonly IntegralRing _fill;
    private readonly IntegralRing _unwind;
    private readonly double _percentPerMeterPerMinute;

    public FilmFlow(double storageMillimeters, double pollSeconds)
    {
        int capacity = 32 + (int)Math.Min(16_384, 1.25 * DrawSeconds / pollSeconds);
        _fill = new IntegralRing(capacity);
        _unwind = new IntegralRing(capacity);
        _percentPerMeterPerMinute = 100 * MillimetersPerSecond / storageMillimeters;
    }

    /// <summary>Mean fill over the last whole cycles, %; NaN until they were seen.</summary>
    public double CycleMean { get; private set; } = double.NaN;

    /// <summary>Rate of the cycle mean by the gap, %/s; NaN where unknown.</summary>
    public double GapRate { get; private set; } = double.NaN;

    /// <summary>Rate of fill by the film balance, %/s; NaN where storage or draw are unknown.</summary>
    public double BalanceRate { get; private set; } = double.NaN;

    /// <summary>How the unwind changes the rate, %/s per s, a cycle apart; NaN where unknown.</summary>
    public double BalanceAcceleration { get; private set; } = double.NaN;

    /// <summary>Draw, m/min; NaN where unknown.</summary>
    public double Draw { get; private set; } = double.NaN;

    /// <summary>How far the unwind just fell below its own mean of the last <see cref="DrawSeconds"/> s, %; NaN where too little was seen.</summary>
    public double UnwindDropPercent { get; private set; } = double.NaN;

    public void Reset()
    {
        _fill.Clear();
        _unwind.Clear();
        CycleMean = GapRate = BalanceRate = BalanceAcceleration = Draw = UnwindDropPercent = double.NaN;
    }

    /// <summary>Takes a reading with a finite fill and a known unwind speed.</summary>
    public void Add(double seconds, double fill, in Reading reading)
    {
        double unwind = reading[Signal.UnwindSpeed];
        _fill.Add(seconds, fill);
        _unwind.Add(seconds, unwind);
        double cycle = FilmBlocks.LengthSeconds(reading[Signal.CycleRate]);
        CycleMean = _fill.Mean(cycle, 0);
        double fillNow = _fill.Mean(SmoothSeconds, 0);
        GapRate = (fillNow - _fill.Mean(cycle + SmoothSeconds, cycle)) / cycle;

        double unwindNow = _unwind.Mean(SmoothSeconds, 0);
        Draw = DrawNow(fillNow, reading[Signal.LineSpeed]);
        BalanceRate = (unwindNow - Draw) * _percentPerMeterPerMinute;
        BalanceAcceleration =
            (unwindNow - _unwind.Mean(cycle + SmoothSeconds, cycle)) / cycle * _percentPerMeterPerMinute;
        UnwindDropPercent =
            100 * (1 - _unwind.Mean(DropSeconds, 0) / _unwind.Mean(DrawSeconds, DropSeconds + cycle));
    }

    private double DrawNow(double fillNow, double lineSpeed)
    {
        if (double.IsFinite(lineSpeed))
            return lineSpeed;
        double gained = fillNow - _fill.Mean(DrawSeconds + SmoothSeconds, DrawSeconds);
        return _unwind.Mean(DrawSeconds, 0) - gained / DrawSeconds / _percentPerMeterPerMinute;
    }
}
