using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Causes;

/// <summary>Median of the last few blocks' values: follows a change within half its length, deaf to single odd blocks.</summary>
/// <param name="length">Blocks.</param>
internal sealed class RecentMedian(int length)
{
    private readonly double[] _ring = new double[length];
    private readonly double[] _scratch = new double[length];
    private int _count;
    private int _next;

    /// <summary>NaN until a value came.</summary>
    public double Value { get; private set; } = double.NaN;

    public void Clear()
    {
        _count = _next = 0;
        Value = double.NaN;
    }

    /// <param name="value">One block's value; NaN is left out.</param>
    public void Add(double value)
    {
        if (!double.IsFinite(value))
            return;
        _ring[_next] = value;
        _next = (_next + 1) % length;
        _count = Math.Min(_count + 1, length);
        Span<double> values = _scratch.AsSpan(0, _count);
        _ring.AsSpan(0, _count).CopyTo(values);
        Value = Median.Of(values);
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("RMed"u8);
        ledger.Keep(_ring.AsSpan());
        _count = ledger.Keep(_count, 0, length);
        _next = ledger.Keep(_next, 0, length - 1);
        Value = ledger.Keep(Value);
    }
}
