using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Bands;

/// <summary>One window over the ring: which of its readings are in, and their counts.</summary>
internal sealed class BandWindow(ReadingRing ring, int codes, int slices)
{
    private long _oldestReading;
    private long _oldestSlice;

    public GapCounts Counts { get; } = new(codes);

    /// <summary>Counts a reading just before the ring takes it.</summary>
    public void Add(ushort code)
    {
        while (Counts.Count == ring.Capacity)
            DropOldestSlice();
        Counts.Add(code);
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
        Counts.Clear();
        _oldestReading = ring.Added;
        _oldestSlice = ring.Slice;
    }

    /// <summary>Carries which readings are in; they are counted anew. The ring must be restored first.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("BWin"u8);
        _oldestReading = ledger.Keep(_oldestReading);
        _oldestSlice = ledger.Keep(_oldestSlice);
        if (!ledger.Restores)
            return;
        Ledger.Demand(
            ring.Holds(_oldestReading, _oldestSlice),
            "a window holds other readings than there are"
        );
        Counts.Clear();
        for (long number = _oldestReading; number < ring.Added; number++)
            Counts.Add(ring.Code(number));
    }

    private void DropOldestSlice()
    {
        int readings = ring.ReadingsIn(_oldestSlice++);
        ring.Remove(_oldestReading, readings, Counts);
        _oldestReading += readings;
    }
}
