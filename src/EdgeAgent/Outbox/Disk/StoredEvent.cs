using System.Buffers.Binary;
using System.Text;

namespace Dancerwatch.EdgeAgent.Outbox.Disk;

/// <summary>
/// An event as the content of a record: reading ticks (8 bytes), then source and id (each a length of 2 bytes and UTF-8),
/// then the payload just as it is sent.
/// </summary>
internal static class StoredEvent
{
    private const int TextsAt = sizeof(long);

    public static byte[] Encode(string source, string id, long readingTicks, ReadOnlySpan<byte> payload)
    {
        int length =
            TextsAt
            + sizeof(ushort)
            + Encoding.UTF8.GetByteCount(source)
            + sizeof(ushort)
            + Encoding.UTF8.GetByteCount(id)
            + payload.Length;
        byte[] content = new byte[length];
        BinaryPrimitives.WriteInt64LittleEndian(content, readingTicks);
        Span<byte> rest = PutText(content.AsSpan(TextsAt), source);
        payload.CopyTo(PutText(rest, id));
        return content;
    }

    /// <param name="ofThisRun">Whether the ticks are of this run's clock.</param>
    /// <returns>Null where the content is not of this form.</returns>
    public static OutboxEntry? Decode(long sequence, ReadOnlySpan<byte> content, bool ofThisRun)
    {
        if (
            content.Length < TextsAt
            || !TryTakeText(content[TextsAt..], out string source, out ReadOnlySpan<byte> rest)
            || !TryTakeText(rest, out string id, out rest)
        )
            return null;
        long ticks = BinaryPrimitives.ReadInt64LittleEndian(content);
        return new OutboxEntry(sequence, source, id, ofThisRun ? ticks : null, rest.ToArray());
    }

    private static Span<byte> PutText(Span<byte> into, string text)
    {
        int length = Encoding.UTF8.GetBytes(text, into[sizeof(ushort)..]);
        BinaryPrimitives.WriteUInt16LittleEndian(into, (ushort)length);
        return into[(sizeof(ushort) + length)..];
    }

    private static bool TryTakeText(ReadOnlySpan<byte> from, out string text, out ReadOnlySpan<byte> rest)
    {
        text = "";
        rest = default;
        if (
            !BinaryPrimitives.TryReadUInt16LittleEndian(from, out ushort length)
            || from.Length < sizeof(ushort) + length
        )
            return false;
        text = Encoding.UTF8.GetString(from.Slice(sizeof(ushort), length));
        rest = from[(sizeof(ushort) + length)..];
        return true;
    }
}
