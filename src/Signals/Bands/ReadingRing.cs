using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Bands;

/// <summary>
/// Gap codes of the latest readings in the order of time, and how many fell into each slice of running time. The windows
/// take from it what they let go of. Memory: 2 B a reading and 2 B a slice, fixed.
/// </summary>
internal sealed class ReadingRing
{
    private readonly ushort[] _codes;
    private readonly ushort[] _perSlice;
    private readonly int _mostPerSlice;
    private int _nextPlace; // Added and Slice, modulo: a division at each reading would cost more than all else here
    private int _slicePlace;

    public ReadingRing(int readings, int slices)
    {
        _codes = new ushort[readings];
        _perSlice = new ushort[slices];
        // Written to once, so that the memory is taken at the start and does not grow until the ring is full.
        Array.Clear(_codes);
        Array.Clear(_perSlice);
        // More in one slice than half the ring, or than fit the count, is a flood: the rest of it is not counted.
        _mostPerSlice = Math.Min(ushort.MaxValue, readings / 2);
    }

    /// <summary>No ring has turned so far: 10^9 readings a second for a century.</summary>
    private const long Longest = 1L << 61;

    /// <summary>Bytes held.</summary>
    public long Bytes => sizeof(ushort) * ((long)_codes.Length + _perSlice.Length);

    /// <summary>Readings that fit.</summary>
    public int Capacity => _codes.Length;

    /// <summary>Number of the present slice, from 0.</summary>
    public long Slice { get; private set; }

    /// <summary>Readings added since the start.</summary>
    public long Added { get; private set; }

    /// <summary>The present slice takes another reading.</summary>
    public bool HasRoom => _perSlice[_slicePlace] < _mostPerSlice;

    public void Add(ushort code)
    {
        _codes[_nextPlace] = code;
        _nextPlace = _nextPlace + 1 == _codes.Length ? 0 : _nextPlace + 1;
        Added++;
        _perSlice[_slicePlace]++;
    }

    /// <summary>Opens the next slice, in the place of one that has left every window.</summary>
    public void OpenSlice()
    {
        Slice++;
        _slicePlace = _slicePlace + 1 == _perSlice.Length ? 0 : _slicePlace + 1;
        _perSlice[_slicePlace] = 0;
    }

    /// <summary>Code of the reading that was the <paramref name="number"/>-th added, from 0.</summary>
    public ushort Code(long number) => _codes[number % _codes.Length];

    /// <summary>Takes the readings from the <paramref name="number"/>-th on out of the counts.</summary>
    public void Remove(long number, int readings, GapCounts counts)
    {
        int place = (int)(number % _codes.Length);
        for (; readings > 0; readings--)
        {
            counts.Remove(_codes[place]);
            place = place + 1 == _codes.Length ? 0 : place + 1;
        }
    }

    /// <summary>Readings in a slice that is still held.</summary>
    public int ReadingsIn(long slice) => _perSlice[slice % _perSlice.Length];

    /// <summary>The readings from one on are those of the slices from one on, and all of them are still held.</summary>
    public bool Holds(long oldestReading, long oldestSlice)
    {
        if (oldestSlice < 0 || oldestSlice > Slice || Slice - oldestSlice >= _perSlice.Length)
            return false;
        long readings = 0;
        for (long slice = oldestSlice; slice <= Slice; slice++)
            readings += ReadingsIn(slice);
        return oldestReading >= 0 && readings == Added - oldestReading && readings <= Capacity;
    }

    /// <summary>Carries the readings; they must be of so many codes.</summary>
    public void Keep(Ledger ledger, int codes)
    {
        ledger.Open("Ring"u8);
        ledger.Keep(_codes.AsSpan());
        ledger.Keep(_perSlice.AsSpan());
        Slice = ledger.Keep(Slice);
        Added = ledger.Keep(Added);
        Ledger.Demand(
            Slice is >= 0 and < Longest && Added is >= 0 and < Longest,
            "the ring of readings stands nowhere"
        );
        if (!ledger.Restores)
            return;
        _nextPlace = (int)(Added % _codes.Length);
        _slicePlace = (int)(Slice % _perSlice.Length);
        foreach (ushort code in _codes)
            Ledger.Demand(code < codes, "a gap lies beyond the sensor's codes");
    }
}
