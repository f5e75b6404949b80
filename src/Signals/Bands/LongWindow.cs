namespace Dancerwatch.Signals.Bands;

/// <summary>
/// The window of eight hours. It counts each reading at once, as the others do, but lets go of them a minute at a time, so
/// that what it must remember packs small.
/// </summary>
internal sealed class LongWindow
{
    private const int Minutes = 8 * 60;
    private readonly ReadingRing _ring;
    private readonly SortedBlocks _blocks;
    private readonly ushort[] _block;
    private int _open;
    private long _minute;

    /// <param name="ring">Holds at least the readings of the present minute.</param>
    /// <param name="codes">Different gap codes.</param>
    /// <param name="pollsPerMinute">Readings in a minute when all goes well, and a few more.</param>
    public LongWindow(ReadingRing ring, int codes, int pollsPerMinute)
    {
        _ring = ring;
        Counts = new GapCounts(codes);
        _blocks = new SortedBlocks(Minutes, pollsPerMinute, codes);
        _block = new ushort[Math.Min(2 * pollsPerMinute, ring.Capacity)];
    }

    public GapCounts Counts { get; }

    /// <summary>Bytes held, the ring aside.</summary>
    public long Bytes => Counts.Bytes + _blocks.Bytes + (sizeof(ushort) * (long)_block.Length);

    /// <summary>Counts a reading that the ring has just taken.</summary>
    public void Add(ushort code)
    {
        Counts.Add(code);
        if (++_open == _block.Length)
            CloseBlock();
    }

    /// <summary>A minute of running time is over.</summary>
    public void NextMinute()
    {
        CloseBlock();
        _minute++;
        while (_blocks.Oldest <= _minute - Minutes)
            _blocks.PopFrom(Counts);
    }

    /// <summary>Forgets all readings.</summary>
    public void Clear()
    {
        Counts.Clear();
        _blocks.Clear();
        _open = 0;
    }

    private void CloseBlock()
    {
        if (_open == 0)
            return;
        while (!_blocks.HasRoom(_open))
            _blocks.PopFrom(Counts);
        Span<ushort> block = _block.AsSpan(0, _open);
        for (int i = 0; i < block.Length; i++)
            block[i] = _ring.Code(_ring.Added - _open + i);
        _blocks.Push(_minute, block);
        _open = 0;
    }
}
