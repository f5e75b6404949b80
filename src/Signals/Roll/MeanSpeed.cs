using Dancerwatch.Signals.Memory;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Regimes;

namespace Dancerwatch.Signals.Roll;

/// <summary>
/// Mean film speed while running, m/min: line speed where read, else unwind speed, which is the same on the mean. A mean of
/// the first readings at first, then one that forgets with a time constant of 10 s; it stands while the machine does.
/// </summary>
internal sealed class MeanSpeed
{
    private const double ForgetSeconds = 10;
    private const double LongestStepSeconds = 1;

    private long _ticks;
    private double _spanSeconds;

    /// <summary>The mean, m/min; NaN until the machine has run.</summary>
    public double MetersPerMinute { get; private set; } = double.NaN;

    public void Next(in Reading reading, in RegimeEstimate regime)
    {
        double seconds = (double)(reading.Ticks - _ticks) / TimeSpan.TicksPerSecond;
        _ticks = reading.Ticks;
        double line = reading[Signal.LineSpeed];
        double speed = double.IsFinite(line) ? line : reading[Signal.UnwindSpeed];
        if (!regime.CountsForStatistics || !double.IsFinite(speed))
            return;
        if (regime.ProductChanged || double.IsNaN(MetersPerMinute))
        {
            MetersPerMinute = speed;
            _spanSeconds = 0;
            return;
        }
        seconds = Math.Min(seconds, LongestStepSeconds);
        _spanSeconds = Math.Min(_spanSeconds + seconds, ForgetSeconds);
        MetersPerMinute += (speed - MetersPerMinute) * seconds / _spanSeconds;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("MSpd"u8);
        _ticks = ledger.Ticks(_ticks);
        _spanSeconds = ledger.Keep(_spanSeconds);
        MetersPerMinute = ledger.Keep(MetersPerMinute);
    }
}
