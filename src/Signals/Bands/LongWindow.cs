using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Bands;

/// <summary>
/// The window of eight hours. It counts each reading at once, as the others do, but lets go of them two minutes at a time,
/// so that what it must remember packs small.
/// </summary>
internal sealed class LongWindow
{
    /// <summary>What is let go of at a time, minutes. The longer, the smaller it packs, and the more there is to sort at once.</summary>
    public const int BlockMinutes = 2;

    private const int Blocks = 8 * 60 / BlockMinutes;
    private readonly ReadingRing _ring;
    private readonly SortedBlocks _blocks;
    private readonly ushort[] _block;
    private int _open;
    private long _number;

    /// <param name="ring">Holds at least the readings of the present block.</param>
    /// <param name="codes">Different gap codes.</param>
    /// <param name="pollsPerBlock">Readings in a block when all goes well, and a few more.</param>
    public LongWindow(ReadingRing ring, int codes, int pollsPerBlock)
    {
        _ring = ring;
        Counts = new GapCounts(codes);
        _blocks = new SortedBlocks(Blocks, pollsPerBlock, codes);
        _block = new ushort[Math.Min(2 * pollsPerBlock, ring.Capacity)];
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

    /// <summary>The running time of a block is over.</summary>
    public void NextBlock()
    {
        CloseBlock();
        _number++;
        while (_blocks.Oldest <= _number - Blocks)
            _blocks.PopFrom(Counts);
    }

    /// <summary>Forgets all readings.</summary>
    public void Clear()
    {
        Counts.Clear();
        _blocks.Clear();
        _open = 0;
    }

    /// <summary>Carries its blocks; their readings are counted anew. The ring must be restored first.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Long"u8);
        _number = ledger.Keep(_number);
        _open = ledger.Keep(_open, 0, (int)Math.Min(_block.Length - 1, _ring.Added));
        _blocks.Keep(ledger);
        if (!ledger.Restores)
            return;
        Counts.Clear();
        _blocks.CountInto(Counts);
        for (int i = 0; i < _open; i++)
            Counts.Add(_ring.Code(_ring.Added - _open + i));
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
        _blocks.Push(_number, block);
        _open = 0;
    }
}
