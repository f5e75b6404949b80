using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// How steeply the unwind lately fell below what it was asked for. Film that catches stops a roll at once; a brake bites
/// over some tenths of a second.
/// </summary>
internal sealed class UnwindFall
{
    /// <summary>A fall is measured against the speed this long before, s: shorter than a brake takes, longer than a poll.</summary>
    private const double SpanSeconds = 0.1;

    /// <summary>A fall is half forgotten after so long, s.</summary>
    private const double HalfLifeSeconds = 2;

    private static readonly double s_forgetPerSecond = Math.Log(2) / HalfLifeSeconds;

    private double _speed = double.NaN;

    /// <summary>Share of the asked speed lost per second at the steepest, % a second.</summary>
    public double PercentPerSecond { get; private set; }

    /// <summary>The machine stops or starts.</summary>
    public void Clear()
    {
        _speed = double.NaN;
        PercentPerSecond = 0;
    }

    /// <param name="elapsedSeconds">Since the reading before, s.</param>
    /// <param name="unwind">m/min.</param>
    /// <param name="command">m/min; NaN where not known: nothing is added.</param>
    public void Add(double elapsedSeconds, double unwind, double command)
    {
        PercentPerSecond *= Math.Max(0, 1 - (s_forgetPerSecond * elapsedSeconds));
        if (!double.IsFinite(unwind))
            return;
        if (double.IsNaN(_speed))
            _speed = unwind;
        // The speed followed with a lag stands for the one of that long before.
        if (command > 0 && unwind < command)
            PercentPerSecond = Math.Max(PercentPerSecond, 100 * (_speed - unwind) / command / SpanSeconds);
        _speed += (unwind - _speed) * elapsedSeconds / (elapsedSeconds + SpanSeconds);
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("UFal"u8);
        _speed = ledger.Keep(_speed);
        PercentPerSecond = ledger.Keep(PercentPerSecond);
    }
}
