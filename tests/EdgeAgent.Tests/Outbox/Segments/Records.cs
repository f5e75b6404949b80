using Dancerwatch.EdgeAgent.Outbox.Segments;

namespace Dancerwatch.EdgeAgent.Tests.Outbox.Segments;

/// <summary>Records as bytes, and bytes as records.</summary>
internal static class Records
{
    public static byte[] Of(long sequence, byte[] content)
    {
        byte[] record = new byte[SegmentRecord.SizeOf(content.Length)];
        SegmentRecord.Write(record, sequence, content);
        return record;
    }

    /// <summary>Each content as a record, numbered from 1.</summary>
    public static byte[][] Of(byte[][] contents) => [.. contents.Select((content, i) => Of(i + 1, content))];

    /// <summary>What a scan finds.</summary>
    public static (List<(long Sequence, byte[] Content)> Found, int Damages, bool Torn) In(byte[] bytes)
    {
        RecordScan scan = new(bytes);
        List<(long, byte[])> found = [];
        while (scan.Next(out long sequence, out ReadOnlySpan<byte> content))
            found.Add((sequence, content.ToArray()));
        return (found, scan.Damages, SegmentRecord.IsTorn(scan.Tail));
    }
}
