using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Signals.Bands;

/// <summary>One window over the ring: which of its readings are in, and their counts.</summary>
internal sealed class BandWindow(ReadingRing ring, int codes, int slices)
{
    private readonly GapCounts _counts = new(codes);
    private long _oldestReading;
    private long _oldestSlice;

    /// <summary>Bytes held, the ring aside.</summary>
    public long Bytes => _counts.Bytes;

    /// <summary>Counts a reading just before the ring takes it.</summary>
    public void Add(ushort code)
    {
        while (_counts.Count == ring.Capacity)
            DropOldestSlice();
        _counts.Add(code);
    }

    /// <summary>Lets go of the slice that is too old once the ring opens its next one.</summary>
    public void Expire()
    {
        while (_oldestSlice <= ring.Slice + 1 - slices)
            DropOldestSlice();
    }

    /// <summary>Forgets all readings. The ring's present slice must be fresh.</summary>
    public void Clear()
    {
        _counts.Clear();
        _oldestReading = ring.Added;
        _oldestSlice = ring.Slice;
    }

    /// <summary>Percentiles of fill, by the set points of now.</summary>
    /// <param name="scale">Turns a gap into a fill.</param>
    /// <param name="gapMinimum">Gap of code 0.</param>
    /// <param name="gapResolution">Gap of one code.</param>
    public BandEstimate Estimate(FillScale scale, double gapMinimum, double gapResolution)
    {
        if (_counts.Count == 0)
        {
            const double none = double.NaN;
            return new BandEstimate(none, none, none, none, none, none, none, 0);
        }
        return new BandEstimate(
            Fill(1),
            Fill(5),
            Fill(25),
            Fill(50),
            Fill(75),
            Fill(95),
            Fill(99),
            _counts.Count
        );

        double Fill(int percent)
        {
            // Whole numbers, so that the rank is exact: ceil(n p), at least 1.
            long count = _counts.Count;
            int rank = (int)(((count * percent) + 99) / 100);
            // Where fill falls as the gap rises, the k-th smallest fill is the k-th largest gap.
            int smallest = scale.RisesWithGap ? rank : (int)count + 1 - rank;
            return scale.PercentAt(gapMinimum + (gapResolution * _counts.Smallest(smallest)));
        }
    }

    private void DropOldestSlice()
    {
        for (int left = ring.ReadingsIn(_oldestSlice); left > 0; left--)
            _counts.Remove(ring.Code(_oldestReading++));
        _oldestSlice++;
    }
}
