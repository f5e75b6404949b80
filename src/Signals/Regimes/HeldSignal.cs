using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Regimes;

/// <summary>A signal that is now and then not read: its last value holds for a while, then it is unknown.</summary>
internal sealed class HeldSignal
{
    private const long HoldTicks = 2 * TimeSpan.TicksPerSecond;
    private long _readTicks;

    /// <summary>The value that holds; NaN where none does.</summary>
    public double Value { get; private set; } = double.NaN;

    public bool IsKnown => !double.IsNaN(Value);

    /// <summary>A switch that is on.</summary>
    public bool IsOn => Value > 0.5;

    public void Next(double value, long ticks)
    {
        if (double.IsFinite(value))
        {
            Value = value;
            _readTicks = ticks;
        }
        else if (ticks - _readTicks > HoldTicks)
        {
            Value = double.NaN;
        }
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Held"u8);
        Value = ledger.Keep(Value);
        _readTicks = ledger.Ticks(_readTicks);
    }
}
