using System.Buffers.Binary;

namespace Dancerwatch.EdgeAgent.Outbox.Segments;

/// <summary>
/// One event in a segment, little-endian:
/// <code>
/// 0   4  mark      "DWE1": where a record begins; the digit is the format's version
/// 4   4  checksum  CRC-32C of all that follows
/// 8   4  length    of the content, bytes
/// 12  8  sequence  number of the event
/// 20     content
/// </code>
/// </summary>
internal static class SegmentRecord
{
    public const int HeaderLength = 20;

    /// <summary>Far above any event; what claims to be longer is no record.</summary>
    public const int LongestContent = 1 << 20;

    private const int ChecksumAt = 4;
    private const int LengthAt = 8;
    private const int SequenceAt = 12;

    public static ReadOnlySpan<byte> Mark => "DWE1"u8;

    public static int SizeOf(int contentLength) => HeaderLength + contentLength;

    /// <summary>Writes a record to the beginning of <paramref name="into"/>.</summary>
    public static void Write(Span<byte> into, long sequence, ReadOnlySpan<byte> content)
    {
        Span<byte> record = into[..SizeOf(content.Length)];
        Mark.CopyTo(record);
        BinaryPrimitives.WriteInt32LittleEndian(record[LengthAt..], content.Length);
        BinaryPrimitives.WriteInt64LittleEndian(record[SequenceAt..], sequence);
        content.CopyTo(record[HeaderLength..]);
        BinaryPrimitives.WriteUInt32LittleEndian(record[ChecksumAt..], Checksum.Of(record[LengthAt..]));
    }

    /// <summary>Reads the record at the beginning of <paramref name="from"/>, where there is a whole and sound one.</summary>
    public static bool TryRead(ReadOnlySpan<byte> from, out long sequence, out ReadOnlySpan<byte> content)
    {
        sequence = 0;
        content = default;
        if (LengthOf(from) is not { } length || SizeOf(length) > from.Length)
            return false;
        ReadOnlySpan<byte> record = from[..SizeOf(length)];
        if (Checksum.Of(record[LengthAt..]) != BinaryPrimitives.ReadUInt32LittleEndian(record[ChecksumAt..]))
            return false;
        sequence = BinaryPrimitives.ReadInt64LittleEndian(record[SequenceAt..]);
        content = record[HeaderLength..];
        return true;
    }

    /// <summary>
    /// Whether these last bytes of a segment are what a write leaves that was cut off: the beginning of a record, or space
    /// that was given to the file and not written. Anything else has been damaged.
    /// </summary>
    public static bool IsTorn(ReadOnlySpan<byte> tail) =>
        !tail.ContainsAnyExcept((byte)0)
        || (
            tail.Length < HeaderLength
                ? tail[..Math.Min(tail.Length, Mark.Length)]
                    .SequenceEqual(Mark[..Math.Min(tail.Length, Mark.Length)])
                : LengthOf(tail) is { } length && SizeOf(length) > tail.Length
        );

    private static int? LengthOf(ReadOnlySpan<byte> from)
    {
        if (from.Length < HeaderLength || !from.StartsWith(Mark))
            return null;
        int length = BinaryPrimitives.ReadInt32LittleEndian(from[LengthAt..]);
        return length is >= 0 and <= LongestContent ? length : null;
    }
}
