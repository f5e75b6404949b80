using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// Tells another bag where the line's speed is not read: the unwind runs faster or slower for good, and the cycle's swing,
/// which is the bag's length, has followed it, or the cycle's rate has moved too. A drifting sensor can make the unwind step,
/// but swings no wider and turns no other rate.
/// </summary>
internal sealed class BagStep
{
    private const int Few = 4;

    /// <summary>Between two means of a few blocks each, as a share.</summary>
    private const double Least = 0.02;

    /// <summary>A smaller step is not judged by the swing: the cam's curve changes that as much while a sensor drifts.</summary>
    private const double LeastForSwing = 0.06;

    /// <summary>Of the cycle's rate, as a share; in steady running means of its length keep to a third of this.</summary>
    private const double OtherRate = 0.001;

    /// <summary>After a step, so many blocks until it is judged, and as many swings as are compared.</summary>
    private const int Judged = 16;

    /// <summary>The swing has followed when it changed by this share of the step: both are measured, neither is exact.</summary>
    private const double FollowedShare = 0.5;

    /// <summary>After a start the accumulator is filled first, blocks.</summary>
    private const int Settling = 30;

    private readonly Bags[] _ring = new Bags[Judged + (2 * Few)];
    private int _count;
    private int _sinceStep;
    private Bags _before; // the step
    private double _sharpest; // between means of a few blocks, as a share: another bag comes at once

    /// <summary>The machine stopped.</summary>
    public void Clear() => _count = _sinceStep = 0;

    /// <summary>Takes a block.</summary>
    /// <param name="unwind">Its mean unwind speed, m/min.</param>
    /// <param name="swing">Fill's peak-to-peak within its cycles, %.</param>
    /// <param name="seconds">Its length: whole cycles.</param>
    /// <returns>True once, when bags have been others for some time.</returns>
    public bool IsOther(double unwind, double swing, double seconds)
    {
        _ring[_count % _ring.Length] = new Bags(unwind, swing, seconds);
        _count++;
        if (_count < Settling + _ring.Length)
            return false;
        double step = Math.Abs((Mean(0, Few).Unwind / Mean(Few, Few).Unwind) - 1);
        if (_sinceStep == 0)
        {
            if (step > Least)
                (_sinceStep, _sharpest, _before) = (1, step, Mean(2 * Few, Judged));
            return false;
        }
        _sharpest = Math.Max(_sharpest, step);
        if (++_sinceStep < Judged)
            return false;
        _sinceStep = 0;
        bool isOther = IsOther(Mean(0, Judged - Few));
        if (isOther)
            Clear();
        return isOther;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Bag "u8);
        ledger.Keep(_ring.AsSpan());
        _count = ledger.Keep(_count, 0, int.MaxValue);
        _sinceStep = ledger.Keep(_sinceStep, 0, Judged);
        _before = ledger.Keep(_before);
        _sharpest = ledger.Keep(_sharpest);
    }

    private bool IsOther(Bags now)
    {
        double step = (now.Unwind / _before.Unwind) - 1;
        if (Math.Abs(step) < LeastForSwing)
            return Math.Abs((now.Seconds / _before.Seconds) - 1) > OtherRate;
        double swing = (now.Swing / _before.Swing) - 1;
        return _sharpest > LeastForSwing && swing * Math.Sign(step) > FollowedShare * Math.Abs(step);
    }

    private Bags Mean(int back, int blocks)
    {
        (double unwind, double swing, double seconds) = (0, 0, 0);
        for (int i = back + 1; i <= back + blocks; i++)
        {
            Bags block = _ring[(_count - i) % _ring.Length];
            (unwind, swing, seconds) = (unwind + block.Unwind, swing + block.Swing, seconds + block.Seconds);
        }
        return new Bags(unwind / blocks, swing / blocks, seconds / blocks);
    }

    /// <summary>What tells bags from others: the unwind's speed, the cycle's swing and its length.</summary>
    private readonly record struct Bags(double Unwind, double Swing, double Seconds);
}
