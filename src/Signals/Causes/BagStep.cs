using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// Tells another bag length by the unwind alone: within a few blocks it runs faster or slower for good. Nothing that drifts
/// or wears does so.
/// </summary>
internal sealed class BagStep
{
    private const int Few = 4;

    /// <summary>Between two means of a few blocks each, as a share.</summary>
    private const double Least = 0.06;

    /// <summary>After a start the accumulator is filled first, blocks.</summary>
    private const int Settling = 30;

    private readonly double[] _ring = new double[2 * Few];
    private int _count;

    /// <summary>The machine stopped.</summary>
    public void Clear() => _count = 0;

    /// <summary>Takes a block's mean unwind speed, m/min.</summary>
    public bool IsOther(double unwind)
    {
        _ring[_count % _ring.Length] = unwind;
        _count++;
        if (_count < Settling + _ring.Length)
            return false;
        (double before, double now) = (0, 0);
        for (int i = 0; i < Few; i++)
        {
            before += _ring[(_count + i) % _ring.Length];
            now += _ring[(_count + Few + i) % _ring.Length];
        }
        return Math.Abs(now / before - 1) > Least;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Bag "u8);
        ledger.Keep(_ring.AsSpan());
        _count = ledger.Keep(_count, 0, int.MaxValue);
    }
}
