using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.FilmPath;

/// <summary>
/// Counts speeds in bins of which eight make an octave, from 1/16 to 4096 %/s, what lies outside in the outermost: a
/// percentile is read off to within 6 %, whatever the speeds (high dynamic range counting). O(1) a count, 128 bins.
/// </summary>
internal sealed class SpeedHistogram
{
    private const int BinsPerOctave = 8;
    private const int LowestExponent = -4;
    private const int Octaves = 16;

    /// <summary>Exponent and first three bits of the mantissa of a double number its bin.</summary>
    private const int Shift = 52 - 3;
    private const int Offset = (1023 + LowestExponent) * BinsPerOctave;

    /// <summary>More of one speed than any window holds.</summary>
    private const int MostCounted = 1 << 20;

    private readonly int[] _counts = new int[Octaves * BinsPerOctave];

    public int Count { get; private set; }

    /// <param name="speed">%/s; 0 or more, finite.</param>
    public void Add(double speed)
    {
        _counts[BinOf(speed)]++;
        Count++;
    }

    /// <summary>Takes out what <paramref name="other"/> counted.</summary>
    public void Subtract(SpeedHistogram other)
    {
        for (int i = 0; i < _counts.Length; i++)
            _counts[i] -= other._counts[i];
        Count -= other.Count;
    }

    public void Add(SpeedHistogram other)
    {
        for (int i = 0; i < _counts.Length; i++)
            _counts[i] += other._counts[i];
        Count += other.Count;
    }

    public void Clear()
    {
        Array.Clear(_counts);
        Count = 0;
    }

    /// <summary>The speed that a share of the counted ones does not exceed, %/s: the middle of its bin; NaN where nothing was counted.</summary>
    /// <param name="share">Above 0, at most 1.</param>
    public double Percentile(double share)
    {
        if (Count == 0)
            return double.NaN;
        int wanted = (int)Math.Ceiling(share * Count);
        int bin = 0;
        for (int sum = _counts[0]; sum < wanted; sum += _counts[bin])
            bin++;
        return 0.5 * (LowerEdge(bin) + LowerEdge(bin + 1));
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Hist"u8);
        ledger.Keep(_counts.AsSpan());
        Count = 0;
        foreach (int count in _counts)
        {
            Ledger.Demand(
                count is >= 0 and <= MostCounted,
                "a speed was seen less often than never, or too often"
            );
            Count += count;
        }
    }

    private static int BinOf(double speed) =>
        Math.Clamp(
            (int)(BitConverter.DoubleToInt64Bits(speed) >> Shift) - Offset,
            0,
            Octaves * BinsPerOctave - 1
        );

    private static double LowerEdge(int bin) => BitConverter.Int64BitsToDouble((long)(bin + Offset) << Shift);
}
