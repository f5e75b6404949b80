using Dancerwatch.EdgeAgent.Outbox.Disk;

namespace Dancerwatch.EdgeAgent.Outbox.Segments;

/// <summary>The segments there are, oldest first. One thread adds and deletes; another may look at the same time.</summary>
internal sealed class SegmentSet(IStateFolder folder, IEnumerable<Segment> segments)
{
    private readonly Lock _gate = new();
    private readonly List<Segment> _segments = [.. segments];

    public IStateFolder Folder { get; } = folder;

    public Segment? Oldest => Find(segments => segments.FirstOrDefault());

    public Segment? Newest => Find(segments => segments.LastOrDefault());

    /// <summary>Space taken, bytes.</summary>
    public long Bytes
    {
        get
        {
            lock (_gate)
                return _segments.Sum(segment => segment.Length);
        }
    }

    /// <summary>The segment after the one that begins with <paramref name="first"/>, which may be gone by now.</summary>
    public Segment? After(long first) => Find(segments => segments.Find(segment => segment.First > first));

    /// <summary>The last segment that may hold the event after <paramref name="sequence"/>; null where all begin later.</summary>
    public Segment? Holding(long sequence) =>
        Find(segments => segments.FindLast(segment => segment.First <= sequence + 1));

    public void Add(Segment segment)
    {
        lock (_gate)
            _segments.Add(segment);
    }

    /// <summary>
    /// Deletes the segments whose events all have numbers up to <paramref name="sequence"/>; the newest stays, since its
    /// last number is known to its writer alone.
    /// </summary>
    public void DeleteThrough(long sequence)
    {
        while (Oldest is { } oldest && After(oldest.First)?.First <= sequence + 1)
            Delete(oldest);
    }

    public void Delete(Segment segment)
    {
        Folder.Delete(segment.Name);
        lock (_gate)
            _segments.Remove(segment);
    }

    private Segment? Find(Func<List<Segment>, Segment?> choose)
    {
        lock (_gate)
            return choose(_segments);
    }
}
