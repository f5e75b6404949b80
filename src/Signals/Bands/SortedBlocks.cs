using Dancerwatch.Signals.Memory;

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
    private int _writeByte;
    private int _before;

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

    /// <summary>Begins a block, for which there must be room; its codes follow by <see cref="Write(int, int)"/>.</summary>
    /// <param name="label">When it was: rises from block to block.</param>
    /// <param name="readings">How many codes will follow.</param>
    public void Open(long label, int readings)
    {
        _blocks.Enqueue(new Block(label, _written, readings));
        _writeByte = ByteOf(_written);
        _before = 0;
    }

    /// <summary>The next code of the block begun last, and how often it stands there; codes rise.</summary>
    public void Write(int code, int times)
    {
        Write(code - _before);
        for (; times > 1; times--)
            Write(0);
        _before = code;
    }

    /// <summary>Where the oldest block's first reading stands.</summary>
    public BlockPlace BeginOldest()
    {
        Block oldest = _blocks.Peek();
        return new BlockPlace(oldest.Start, ByteOf(oldest.Start), oldest.Count);
    }

    /// <summary>Counts the next readings of a block.</summary>
    /// <param name="place">Where the first of them stands; moves on.</param>
    /// <param name="counts">Where they are counted.</param>
    /// <param name="readings">How many, at most as are left.</param>
    public void Unpack(ref BlockPlace place, GapCounts counts, int readings)
    {
        for (int i = 0; i < readings; i++)
        {
            place.Code += Read(ref place);
            counts.Add((ushort)place.Code);
        }
        place.Left -= readings;
    }

    /// <summary>Lets go of the oldest block.</summary>
    public void DropOldest() => _blocks.Dequeue();

    public void Clear() => _blocks.Clear();

    /// <summary>Counts all readings held.</summary>
    public void CountInto(GapCounts counts)
    {
        foreach (Block block in _blocks)
        {
            BlockPlace place = new(block.Start, ByteOf(block.Start), block.Count);
            Unpack(ref place, counts, block.Count);
        }
    }

    /// <summary>Carries the blocks and the bits they take.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Blks"u8);
        _written = ledger.Keep(_written);
        int blocks = ledger.Keep(_blocks.Count, 0, _mostBlocks);
        if (ledger.Restores)
        {
            _blocks.Clear();
            for (int i = 0; i < blocks; i++)
                _blocks.Enqueue(ledger.Keep(default(Block)));
        }
        else
        {
            foreach (Block block in _blocks)
                ledger.Keep(block);
        }
        long first = _blocks.TryPeek(out Block oldest) ? oldest.Start : _written;
        Ledger.Demand(
            first >= 0
                && first <= _written
                && _written - first <= 8L * _bytes.Length
                && _written < long.MaxValue / 2,
            "the minutes' bits lie where none are"
        );
        KeepBits(ledger, first);
        if (ledger.Restores)
            Check(first);
    }

    /// <summary>Only the bytes that are in use; around the ring's end in two parts.</summary>
    private void KeepBits(Ledger ledger, long first)
    {
        int start = (int)((first >> 3) % _bytes.Length);
        int length = (int)Math.Min(_bytes.Length, ((_written + 7) >> 3) - (first >> 3));
        int toEnd = Math.Min(length, _bytes.Length - start);
        ledger.Bytes(_bytes.AsSpan(start, toEnd));
        ledger.Bytes(_bytes.AsSpan(0, length - toEnd));
    }

    /// <summary>Every reading must end before its block does, and be a code there is: else unpacking would never end.</summary>
    private void Check(long first)
    {
        BlockPlace place = new(first, ByteOf(first), 0);
        long label = long.MinValue;
        foreach (Block block in _blocks)
        {
            Ledger.Demand(
                block.Start == place.Bit && block.Count > 0 && block.Label >= label,
                "a minute begins elsewhere"
            );
            label = block.Label;
            int code = 0;
            for (int left = block.Count; left > 0; left--)
            {
                int distance = 0;
                bool ends = false;
                while (place.Bit < _written && !(ends = ReadBit(ref place)))
                    distance++;
                for (int bit = 0; bit < _lowBits; bit++)
                    distance = (distance << 1) | (ReadBit(ref place) ? 1 : 0);
                code += distance;
                Ledger.Demand(
                    ends && place.Bit <= _written && code >= 0 && code < _codes,
                    "a minute's readings are not readings"
                );
            }
        }
        Ledger.Demand(place.Bit == _written, "the minutes end elsewhere");
    }

    private long BitsOf(int readings, int lowBits) => (readings * (lowBits + 1L)) + (_codes >> lowBits);

    private void Write(int distance)
    {
        for (int steps = distance >> _lowBits; steps > 0; steps--)
            WriteBit(false);
        WriteBit(true);
        for (int bit = _lowBits - 1; bit >= 0; bit--)
            WriteBit(((distance >> bit) & 1) != 0);
    }

    private int Read(ref BlockPlace place)
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
        ref byte into = ref _bytes[_writeByte];
        int mask = 1 << (int)(_written++ & 7);
        into = (byte)(bit ? into | mask : into & ~mask);
        if ((_written & 7) == 0)
            _writeByte = After(_writeByte);
    }

    private bool ReadBit(ref BlockPlace place)
    {
        byte from = _bytes[place.Byte];
        bool bit = ((from >> (int)(place.Bit++ & 7)) & 1) != 0;
        if ((place.Bit & 7) == 0)
            place.Byte = After(place.Byte);
        return bit;
    }

    private int ByteOf(long bit) => (int)((bit >> 3) % _bytes.Length);

    private int After(int place) => place + 1 == _bytes.Length ? 0 : place + 1;

    private readonly record struct Block(long Label, long Start, int Count);
}

/// <summary>How far a block is unpacked.</summary>
/// <param name="bit">Place of the next bit, as counted since the first block ever.</param>
/// <param name="place">Its byte in the ring.</param>
/// <param name="left">Readings to come.</param>
internal struct BlockPlace(long bit, int place, int left)
{
    public long Bit = bit;
    public int Byte = place;
    public int Left = left;
    public int Code;
}
