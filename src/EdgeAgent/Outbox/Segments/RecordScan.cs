namespace Dancerwatch.EdgeAgent.Outbox.Segments;

/// <summary>Goes through a segment's bytes from record to record; where bytes are damaged it goes on at the next sound record.</summary>
internal ref struct RecordScan(ReadOnlySpan<byte> bytes)
{
    private readonly ReadOnlySpan<byte> _bytes = bytes;

    /// <summary>Where the last record ended that was found.</summary>
    public int Position { get; private set; }

    /// <summary>Stretches of bytes that were passed over.</summary>
    public int Damages { get; private set; }

    /// <summary>What follows the last record that was found.</summary>
    public readonly ReadOnlySpan<byte> Tail => _bytes[Position..];

    /// <returns>False where no sound record follows.</returns>
    public bool Next(out long sequence, out ReadOnlySpan<byte> content)
    {
        ReadOnlySpan<byte> tail = Tail;
        int at = 0;
        while (!SegmentRecord.TryRead(tail[at..], out sequence, out content))
        {
            int further = at < tail.Length ? tail[(at + 1)..].IndexOf(SegmentRecord.Mark) : -1;
            if (further < 0)
                return false;
            at += 1 + further;
        }
        if (at > 0)
            Damages++;
        Position += at + SegmentRecord.SizeOf(content.Length);
        return true;
    }
}
