using Dancerwatch.EdgeAgent.Outbox.Disk;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Outbox.Segments;

/// <summary>What an earlier run left, made ready for this one.</summary>
/// <param name="Last">No event has had a number above this, as far as the segments tell.</param>
/// <param name="Continues">Whether the newest segment may be written on.</param>
internal sealed record RecoveredSegments(SegmentSet Segments, long Last, bool Continues)
{
    /// <summary>Finds the segments, and cuts off what a write that was broken off has left at the end of the newest.</summary>
    /// <exception cref="IOException">A segment cannot be read or cut.</exception>
    public static RecoveredSegments Of(IStateFolder folder, ILogger logger)
    {
        Segment[] found =
        [
            .. folder
                .List()
                .Select(file =>
                    Segment.FirstOf(file.Name) is { } first ? new Segment(first, file.Length) : null
                )
                .OfType<Segment>()
                .OrderBy(segment => segment.First),
        ];
        SegmentSet segments = new(folder, found);
        return segments.Newest is { } newest
            ? Mend(segments, newest, logger)
            : new RecoveredSegments(segments, Last: 0, Continues: false);
    }

    private static RecoveredSegments Mend(SegmentSet segments, Segment newest, ILogger logger)
    {
        byte[] bytes = Bytes(segments.Folder, newest);
        RecordScan scan = new(bytes);
        long last = newest.First - 1;
        while (scan.Next(out long sequence, out _))
            last = Math.Max(last, sequence);
        if (!SegmentRecord.IsTorn(scan.Tail))
        {
            // Something stood here, and it may have been sent: its number is not given again, and will be told as lost.
            return new RecoveredSegments(segments, last + 1, Continues: false);
        }
        if (scan.Tail.Length > 0)
        {
            logger.TornTailCut(scan.Tail.Length, newest.Name);
            Cut(segments.Folder, newest, scan.Position);
        }
        if (newest.Length == 0)
            segments.Delete(newest);
        return new RecoveredSegments(segments, last, Continues: newest.Length > 0);
    }

    private static byte[] Bytes(IStateFolder folder, Segment segment)
    {
        using IStateFile file = folder.Open(segment.Name);
        byte[] bytes = new byte[segment.Length];
        return file.Read(0, bytes) == bytes.Length
            ? bytes
            : throw new IOException($"{segment.Name} became shorter while it was read.");
    }

    private static void Cut(IStateFolder folder, Segment segment, int length)
    {
        using IStateFile file = folder.Open(segment.Name);
        file.Truncate(length);
        file.Flush();
        segment.Length = length;
    }
}
