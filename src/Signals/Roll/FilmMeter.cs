using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Roll;

/// <summary>Film that left the roll, m: the integral of unwind speed (trapezoid). A hole in the readings leaves an unknown length out.</summary>
internal sealed class FilmMeter
{
    /// <summary>Longest step between readings over which speed is taken to run straight, s.</summary>
    private const double LongestStepSeconds = 5;

    private long _ticks;
    private double _speed = double.NaN;

    /// <summary>Film used since the start, m.</summary>
    public double Meters { get; private set; }

    public void Next(in Reading reading)
    {
        double speed = reading[Signal.UnwindSpeed];
        if (!double.IsFinite(speed))
            return;
        double seconds = (double)(reading.Ticks - _ticks) / TimeSpan.TicksPerSecond;
        if (seconds <= LongestStepSeconds && double.IsFinite(_speed))
            Meters += (speed + _speed) / 2 * seconds / 60;
        (_ticks, _speed) = (reading.Ticks, speed);
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Mtrs"u8);
        _ticks = ledger.Ticks(_ticks);
        _speed = ledger.Keep(_speed);
        Meters = ledger.Keep(Meters);
    }
}
