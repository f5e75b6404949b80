using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Causes;

/// <summary>
/// Whether the unwind has a top: fill falls, so that a loop would ask for more and more, and still the highest speed of each
/// block is the same. It shows while the drive is at its limit for a part of each cycle only.
/// </summary>
internal sealed class SpeedTop
{
    private const int Blocks = 5;

    /// <summary>Tops that differ by less are one, as a share.</summary>
    private const double SameShare = 0.015;

    /// <summary>A fall over the blocks that a loop would answer, %.</summary>
    private const double AnsweredPercent = 3;

    private readonly (double Fill, double Highest)[] _ring = new (double, double)[Blocks];
    private int _count;
    private int _next;

    /// <summary>As of the newest block.</summary>
    public bool IsReached { get; private set; }

    /// <summary>By how much fill fell over the last blocks, %; negative where it rose; NaN until they were seen.</summary>
    public double FallPercent { get; private set; } = double.NaN;

    public void Clear()
    {
        _count = _next = 0;
        IsReached = false;
        FallPercent = double.NaN;
    }

    /// <param name="block">Closed.</param>
    public void Add(in FilmBlock block)
    {
        _ring[_next] = (block.MeanFill, block.HighestUnwind);
        _next = (_next + 1) % Blocks;
        _count = Math.Min(_count + 1, Blocks);
        if (_count < Blocks)
            return;
        (double lowest, double highest) = (double.PositiveInfinity, double.NegativeInfinity);
        foreach ((_, double top) in _ring)
            (lowest, highest) = (Math.Min(lowest, top), Math.Max(highest, top));
        FallPercent = _ring[_next].Fill - block.MeanFill;
        IsReached = highest - lowest < SameShare * highest && FallPercent > AnsweredPercent;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Top "u8);
        ledger.Keep(_ring.AsSpan());
        _count = ledger.Keep(_count, 0, Blocks);
        _next = ledger.Keep(_next, 0, Blocks - 1);
        IsReached = ledger.Keep(IsReached);
        FallPercent = ledger.Keep(FallPercent);
    }
}
