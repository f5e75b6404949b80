using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// Tells another bag length where the line's speed is not read: the unwind runs faster or slower for good, and the cycle's
/// swing, which is the bag's length, has followed it. A drifting sensor can make the unwind step, but swings no wider.
/// </summary>
internal sealed class BagStep
{
    private const int Few = 4;

    /// <summary>Between two means of a few blocks each, as a share.</summary>
    private const double Least = 0.06;

    /// <summary>After a step, so many blocks until it is judged, and as many swings as are compared.</summary>
    private const int Judged = 16;

    /// <summary>The swing has followed when it changed by this share of the step: both are measured, neither is exact.</summary>
    private const double FollowedShare = 0.5;

    /// <summary>After a start the accumulator is filled first, blocks.</summary>
    private const int Settling = 30;

    private readonly (double Unwind, double Swing)[] _ring = new (double, double)[Judged + (2 * Few)];
    private int _count;
    private int _sinceStep;
    private (double Unwind, double Swing) _before; // the step

    /// <summary>The machine stopped.</summary>
    public void Clear() => _count = _sinceStep = 0;

    /// <summary>Takes a block.</summary>
    /// <param name="unwind">Its mean unwind speed, m/min.</param>
    /// <param name="swing">Fill's peak-to-peak within its cycles, %.</param>
    /// <returns>True once, when bags have been of another length for some time.</returns>
    public bool IsOther(double unwind, double swing)
    {
        _ring[_count % _ring.Length] = (unwind, swing);
        _count++;
        if (_count < Settling + _ring.Length)
            return false;
        if (_sinceStep == 0)
        {
            if (Math.Abs((Mean(0, Few).Unwind / Mean(Few, Few).Unwind) - 1) > Least)
                (_sinceStep, _before) = (1, Mean(2 * Few, Judged));
            return false;
        }
        if (++_sinceStep < Judged)
            return false;
        (double unwindNow, double swingNow) = Mean(0, Judged - Few);
        Clear();
        double step = (unwindNow / _before.Unwind) - 1;
        return ((swingNow / _before.Swing) - 1) * Math.Sign(step) > FollowedShare * Math.Abs(step);
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Bag "u8);
        ledger.Keep(_ring.AsSpan());
        _count = ledger.Keep(_count, 0, int.MaxValue);
        _sinceStep = ledger.Keep(_sinceStep, 0, Judged);
        _before = ledger.Keep(_before);
    }

    private (double Unwind, double Swing) Mean(int back, int blocks)
    {
        (double unwind, double swing) = (0, 0);
        for (int i = back + 1; i <= back + blocks; i++)
        {
            (double Unwind, double Swing) block = _ring[(_count - i) % _ring.Length];
            (unwind, swing) = (unwind + block.Unwind, swing + block.Swing);
        }
        return (unwind / blocks, swing / blocks);
    }
}
