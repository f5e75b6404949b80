using System.Buffers.Binary;
using Dancerwatch.EdgeAgent.Outbox.Segments;

namespace Dancerwatch.EdgeAgent.Recording.Journal;

/// <summary>Kinds of block in a journal.</summary>
internal enum JournalBlock
{
    /// <summary>The first: the run, and which signals there are.</summary>
    Head = 1,
    Readings = 2,

    /// <summary>Something happened that the black box is for.</summary>
    Mark = 3,
}

/// <summary>What stands before each block: mark, CRC-32C of all after it, length of the content.</summary>
internal static class JournalBlocks
{
    public const int HeaderLength = 12;

    /// <summary>Larger than any block.</summary>
    public const int LargestContent = 4 << 20;

    private const uint Mark = 0x4A_52_57_44; // "DWRJ"

    /// <param name="block">Header, to be filled, and content.</param>
    public static void WriteHeader(Span<byte> block)
    {
        BinaryPrimitives.WriteUInt32LittleEndian(block, Mark);
        BinaryPrimitives.WriteInt32LittleEndian(block[8..], block.Length - HeaderLength);
        BinaryPrimitives.WriteUInt32LittleEndian(block[4..], Checksum.Of(block[8..]));
    }

    /// <returns>Length of the content; -1 where this is no header.</returns>
    public static int LengthOf(ReadOnlySpan<byte> header)
    {
        if (header.Length < HeaderLength || BinaryPrimitives.ReadUInt32LittleEndian(header) != Mark)
            return -1;
        int length = BinaryPrimitives.ReadInt32LittleEndian(header[8..]);
        return length is > 0 and <= LargestContent ? length : -1;
    }

    /// <param name="block">Header and content.</param>
    public static bool IsWhole(ReadOnlySpan<byte> block) =>
        BinaryPrimitives.ReadUInt32LittleEndian(block[4..]) == Checksum.Of(block[8..]);
}
