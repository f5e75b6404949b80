namespace Dancerwatch.Signals.Bands;

/// <summary>
/// Gap codes in blocks, first in, first out, in memory that is fixed: 0.3 B a reading where a block holds 3,000 of 12 bits.
/// Within a block the order of time is given up: the codes are sorted, and of each its distance to the one before is
/// written, whole steps of 2^r as zeros, a one, then the r bits that are left (R. F. Rice, <i>Some Practical Universal
/// Noiseless Coding Techniques</i>, 1979; from memory). Sorted codes rise to the largest code at most, so n of them never
/// take more than n (r + 1) + codes / 2^r bits, whatever they are. Exact; not thread-safe.
/// </summary>
internal sealed class SortedBlocks
{
    private readonly byte[] _bytes;
    private readonly Queue<Block> _blocks;
    private readonly int _mostBlocks;
    private readonly int _codes;
    private readonly int _lowBits;
    private long _written;

    /// <param name="blocks">Blocks that surely fit, where they are no larger than <paramref name="readings"/>.</param>
    /// <param name="readings">Readings of an ordinary block.</param>
    /// <param name="codes">Different codes.</param>
    public SortedBlocks(int blocks, int readings, int codes)
    {
        _codes = codes;
        while (BitsOf(readings, _lowBits + 1) < BitsOf(readings, _lowBits))
            _lowBits++;
        _bytes = new byte[((BitsOf(readings, _lowBits) * blocks) + 7) / 8];
        // Written to once, so that the memory is taken at the start and does not grow for hours.
        Array.Clear(_bytes);
        _mostBlocks = 2 * blocks;
        _blocks = new Queue<Block>(_mostBlocks);
    }

    /// <summary>Bytes held.</summary>
    public long Bytes => _bytes.Length + ((long)_mostBlocks * 3 * sizeof(long));

    /// <summary>Label of the oldest block; null where there is none.</summary>
    public long? Oldest => _blocks.TryPeek(out Block oldest) ? oldest.Label : null;

    /// <summary>Whether another block of so many readings fits, whatever its codes.</summary>
    public bool HasRoom(int readings) =>
        _blocks.Count < _mostBlocks
        && _written
            - (_blocks.TryPeek(out Block oldest) ? oldest.Start : _written)
            + BitsOf(readings, _lowBits)
            <= 8L * _bytes.Length;

    /// <summary>Takes a block; there must be room for it.</summary>
    /// <param name="label">When it was: rises from block to block.</param>
    /// <param name="codes">Its codes; they are sorted in place.</param>
    public void Push(long label, Span<ushort> codes)
    {
        _blocks.Enqueue(new Block(label, _written, codes.Length));
        codes.Sort();
        int before = 0;
        foreach (ushort code in codes)
        {
            Write(code - before);
            before = code;
        }
    }

    /// <summary>Lets go of the oldest block and takes its readings out of the counts.</summary>
    public void PopFrom(GapCounts counts)
    {
        Block block = _blocks.Dequeue();
        long place = block.Start;
        int code = 0;
        for (int left = block.Count; left > 0; left--)
        {
            code += Read(ref place);
            counts.Remove((ushort)code);
        }
    }

    public void Clear() => _blocks.Clear();

    private long BitsOf(int readings, int lowBits) => (readings * (lowBits + 1L)) + (_codes >> lowBits);

    private void Write(int distance)
    {
        for (int steps = distance >> _lowBits; steps > 0; steps--)
            WriteBit(false);
        WriteBit(true);
        for (int bit = _lowBits - 1; bit >= 0; bit--)
            WriteBit(((distance >> bit) & 1) != 0);
    }

    private int Read(ref long place)
    {
        int distance = 0;
        while (!ReadBit(ref place))
            distance++;
        for (int bit = 0; bit < _lowBits; bit++)
            distance = (distance << 1) | (ReadBit(ref place) ? 1 : 0);
        return distance;
    }

    private void WriteBit(bool bit)
    {
        ref byte into = ref _bytes[(_written >> 3) % _bytes.Length];
        int mask = 1 << (int)(_written++ & 7);
        into = (byte)(bit ? into | mask : into & ~mask);
    }

    private bool ReadBit(ref long place)
    {
        byte from = _bytes[(place >> 3) % _bytes.Length];
        return ((from >> (int)(place++ & 7)) & 1) != 0;
    }

    private readonly record struct Block(long Label, long Start, int Count);
}
