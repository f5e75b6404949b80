using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Bands;

/// <summary>
/// The window of eight hours. It counts each reading at once, as the others do, but lets go of them two minutes at a time,
/// so that what it must remember packs small. Packing and unpacking are spread over the readings of the next block.
/// </summary>
internal sealed class LongWindow
{
    /// <summary>What is let go of at a time, minutes. The longer, the smaller it packs.</summary>
    public const int BlockMinutes = 2;

    private const int Blocks = 8 * 60 / BlockMinutes;
    private readonly ReadingRing _ring;
    private readonly SortedBlocks _blocks;
    private readonly EnteringBlock _entering;
    private readonly LeavingBlock _leaving;
    private readonly int _mostOpen;
    private int[] _openCounts;
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
        _entering = new EnteringBlock(_blocks, codes);
        _leaving = new LeavingBlock(_blocks, codes);
        _openCounts = new int[codes];
        _mostOpen = Math.Min(2 * pollsPerBlock, ring.Capacity);
    }

    public GapCounts Counts { get; }

    /// <summary>Bytes held, the ring aside.</summary>
    public long Bytes => 4 * Counts.Bytes + _blocks.Bytes;

    /// <summary>Counts a reading that the ring has just taken.</summary>
    public void Add(ushort code)
    {
        Counts.Add(code);
        _openCounts[code]++;
        _entering.PackSome();
        if (_blocks.Oldest <= _number + 1 - Blocks)
            _leaving.UnpackSome();
        if (++_open == _mostOpen)
            CloseBlock();
    }

    /// <summary>The running time of a block is over.</summary>
    public void NextBlock()
    {
        CloseBlock();
        _number++;
        while (_blocks.Oldest <= _number - Blocks)
            _leaving.TakeFrom(Counts);
    }

    /// <summary>Forgets all readings.</summary>
    public void Clear()
    {
        Counts.Clear();
        _entering.Pack();
        _leaving.Clear();
        _blocks.Clear();
        Array.Clear(_openCounts);
        _open = 0;
    }

    /// <summary>Carries its blocks; their readings are counted anew. The ring must be restored first.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Long"u8);
        _number = ledger.Keep(_number);
        _open = ledger.Keep(_open, 0, (int)Math.Min(_mostOpen - 1, _ring.Added));
        _entering.Pack();
        _blocks.Keep(ledger);
        if (!ledger.Restores)
            return;
        Counts.Clear();
        Array.Clear(_openCounts);
        _leaving.Clear();
        _blocks.CountInto(Counts);
        for (int i = 0; i < _open; i++)
        {
            ushort code = _ring.Code(_ring.Added - _open + i);
            Counts.Add(code);
            _openCounts[code]++;
        }
    }

    private void CloseBlock()
    {
        if (_open == 0)
            return;
        _entering.Pack();
        while (!_blocks.HasRoom(_open))
            _leaving.TakeFrom(Counts);
        _openCounts = _entering.Begin(_number, _open, _openCounts);
        _open = 0;
    }
}
