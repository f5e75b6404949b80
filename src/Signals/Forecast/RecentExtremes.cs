using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// Lowest and highest of the last blocks, without the newest <see cref="Left"/>: what was usual before whatever is
/// happening now began. O(blocks) a block, memory fixed.
/// </summary>
internal sealed class RecentExtremes
{
    private const int Blocks = 60;

    /// <summary>Newest blocks that do not count yet.</summary>
    private const int Left = 3;

    /// <summary>Blocks needed before anything counts as usual.</summary>
    private const int FewestBlocks = 10;

    /// <summary>Blocks that are forgotten after a trip: the way to it.</summary>
    private const int WayToTrip = 20;

    private readonly (double Lowest, double Highest)[] _ring = new (double, double)[Blocks];
    private int _next;
    private int _count;

    public bool IsKnown => !double.IsNaN(Lowest);
    public double Lowest { get; private set; } = double.NaN;
    public double Highest { get; private set; } = double.NaN;

    public void Clear()
    {
        _count = 0;
        Lowest = Highest = double.NaN;
    }

    /// <summary>Forgets the newest blocks; what was usual before stays.</summary>
    public void ForgetNewest()
    {
        int forgotten = Math.Min(WayToTrip, _count);
        _count -= forgotten;
        _next = (_next - forgotten + Blocks) % Blocks;
    }

    public void Add(double lowest, double highest)
    {
        _ring[_next] = (lowest, highest);
        _next = (_next + 1) % Blocks;
        _count = Math.Min(_count + 1, Blocks);
        if (_count < FewestBlocks)
            return;
        Lowest = double.PositiveInfinity;
        Highest = double.NegativeInfinity;
        int oldest = (_next - _count + Blocks) % Blocks;
        int toEnd = Math.Min(_count - Left, Blocks - oldest);
        Widen(_ring.AsSpan(oldest, toEnd));
        Widen(_ring.AsSpan(0, _count - Left - toEnd));
    }

    private void Widen(ReadOnlySpan<(double Lowest, double Highest)> blocks)
    {
        // A block's two numbers are looked at together: this took 1 % of the analysis one by one.
        Vector128<double> least = Vector128.Create(Lowest);
        Vector128<double> most = Vector128.Create(Highest);
        foreach (
            Vector128<double> block in MemoryMarshal.Cast<(double Lowest, double Highest), Vector128<double>>(
                blocks
            )
        )
        {
            least = Vector128.Min(least, block);
            most = Vector128.Max(most, block);
        }
        (Lowest, Highest) = (least[0], most[1]);
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("RExt"u8);
        ledger.Keep(_ring.AsSpan());
        _next = ledger.Keep(_next, 0, Blocks - 1);
        _count = ledger.Keep(_count, 0, Blocks);
        Lowest = ledger.Keep(Lowest);
        Highest = ledger.Keep(Highest);
    }
}
