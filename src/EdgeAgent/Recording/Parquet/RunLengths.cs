using System.Buffers;
using System.Buffers.Binary;

namespace Dancerwatch.EdgeAgent.Recording.Parquet;

/// <summary>
/// Parquet's hybrid of run lengths and bit packing (parquet-format, Encodings.md, RLE = 3): small whole numbers, those that
/// repeat as runs, others packed in groups of 8, lowest bit first.
/// </summary>
internal static class RunLengths
{
    private const int Group = 8;

    /// <summary>A dictionary of more entries is not made, nor read.</summary>
    public const int MostBits = 16;

    /// <summary>Bits that numbers up to <paramref name="largest"/> take.</summary>
    public static int BitsFor(int largest) =>
        32 - System.Numerics.BitOperations.LeadingZeroCount((uint)largest);

    /// <param name="bits">Width of each number, 0 to <see cref="MostBits"/>.</param>
    public static void Write(ReadOnlySpan<int> numbers, int bits, IBufferWriter<byte> into)
    {
        int at = 0;
        while (at < numbers.Length)
        {
            int run = RunAt(numbers, at);
            if (run >= Group || run == numbers.Length - at)
            {
                Varint.Write(into, (uint)run << 1);
                for (int shift = 0; shift < bits; shift += 8)
                    into.Write([(byte)(numbers[at] >> shift)]);
                at += run;
                continue;
            }
            int groups = 1;
            while (
                at + ((groups + 1) * Group) <= numbers.Length && RunAt(numbers, at + (groups * Group)) < Group
            )
                groups++;
            Varint.Write(into, (uint)(groups << 1) | 1);
            Pack(numbers[at..Math.Min(at + (groups * Group), numbers.Length)], groups, bits, into);
            at += groups * Group;
        }
    }

    /// <exception cref="ParquetException">There are not as many numbers.</exception>
    public static void Read(ReadOnlySpan<byte> bytes, int bits, Span<int> into)
    {
        if (bits is < 0 or > MostBits)
            throw new ParquetException("a page of it is damaged");
        int at = 0;
        int filled = 0;
        while (filled < into.Length)
        {
            uint header = ReadHeader(bytes, ref at);
            int count = (int)Math.Min(header >> 1, (uint)into.Length);
            if ((header & 1) == 0)
            {
                count = Math.Min(count, into.Length - filled);
                int width = (bits + 7) / 8;
                if (count == 0 || bytes.Length - at < width)
                    throw new ParquetException("a page of it is damaged");
                int value = 0;
                for (int i = 0; i < width; i++)
                    value |= bytes[at++] << (8 * i);
                into.Slice(filled, count).Fill(value);
                filled += count;
            }
            else
            {
                int length = count * bits;
                if (count == 0 || bytes.Length - at < length)
                    throw new ParquetException("a page of it is damaged");
                count = Math.Min(count * Group, into.Length - filled);
                Unpack(bytes.Slice(at, length), bits, into.Slice(filled, count));
                at += length;
                filled += count;
            }
        }
    }

    private static int RunAt(ReadOnlySpan<int> numbers, int at)
    {
        int end = numbers[at..].IndexOfAnyExcept(numbers[at]);
        return end < 0 ? numbers.Length - at : end;
    }

    private static void Pack(ReadOnlySpan<int> numbers, int groups, int bits, IBufferWriter<byte> into)
    {
        Span<byte> packed = into.GetSpan(groups * bits)[..(groups * bits)];
        packed.Clear();
        int bit = 0;
        foreach (int number in numbers)
        {
            for (int i = 0; i < bits; i++, bit++)
                packed[bit >> 3] |= (byte)(((number >> i) & 1) << (bit & 7));
        }
        into.Advance(packed.Length);
    }

    private static void Unpack(ReadOnlySpan<byte> packed, int bits, Span<int> into)
    {
        ulong mask = (1UL << bits) - 1;
        ulong buffer = 0;
        int held = 0;
        int at = 0;
        for (int i = 0; i < into.Length; i++)
        {
            if (held < bits)
            {
                if (packed.Length - at >= sizeof(uint))
                {
                    buffer |= (ulong)BinaryPrimitives.ReadUInt32LittleEndian(packed[at..]) << held;
                    at += sizeof(uint);
                    held += 32;
                }
                else
                {
                    for (; held < bits; held += 8)
                        buffer |= (ulong)packed[at++] << held;
                }
            }
            into[i] = (int)(buffer & mask);
            buffer >>= bits;
            held -= bits;
        }
    }

    private static uint ReadHeader(ReadOnlySpan<byte> bytes, ref int at) =>
        Varint.TryRead(bytes, ref at, mostBytes: 5, out ulong header)
            ? (uint)header
            : throw new ParquetException("a page of it is damaged");
}
