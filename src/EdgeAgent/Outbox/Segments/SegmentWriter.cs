using Dancerwatch.EdgeAgent.Outbox.Disk;

namespace Dancerwatch.EdgeAgent.Outbox.Segments;

/// <summary>
/// Appends records to the newest segment and begins another when it is full. What it has appended is on disk, not only on
/// its way there. One thread.
/// </summary>
/// <param name="makeRoom">Called before a segment is begun that may take so many bytes.</param>
internal sealed class SegmentWriter(RecoveredSegments recovered, Action<long> makeRoom) : IDisposable
{
    /// <summary>
    /// A segment's full size, bytes: about 100 events. Its space is taken when it is begun, so that a disk that fills up
    /// stops the next segment and not this one.
    /// </summary>
    public const int FullSize = 128 << 10;

    private readonly SegmentSet _segments = recovered.Segments;
    private readonly MemoryStream _batch = new();
    private Segment? _newest = recovered.Continues ? recovered.Segments.Newest : null;
    private IStateFile? _file;
    private long _last = recovered.Last;
    private long _lastOfBatch;

    /// <summary>Number of the last event that is on disk.</summary>
    public long Last => Interlocked.Read(ref _last);

    /// <summary>Appends events, in the order of their numbers.</summary>
    /// <exception cref="IOException">Those after <see cref="Last"/> are not on disk. May be tried again.</exception>
    /// <exception cref="UnauthorizedAccessException"><inheritdoc cref="IOException"/></exception>
    public void Append(IEnumerable<(long Sequence, byte[] Content)> events)
    {
        _batch.SetLength(0);
        foreach ((long sequence, byte[] content) in events)
        {
            int size = SegmentRecord.SizeOf(content.Length);
            if (_newest is not null && _newest.Length + _batch.Length + size > FullSize)
                EndSegment();
            if (_newest is null)
                BeginSegment(sequence);
            int at = (int)_batch.Length;
            _batch.SetLength(at + size);
            SegmentRecord.Write(_batch.GetBuffer().AsSpan(at), sequence, content);
            _lastOfBatch = sequence;
        }
        WriteBatch();
    }

    /// <summary>Has the next event begin a new segment; the newest may then be deleted.</summary>
    public void EndSegment()
    {
        WriteBatch();
        // The rest of the space that was taken for it.
        if (_newest is not null)
            _file?.Truncate(_newest.Length);
        Close();
        _newest = null;
    }

    public void Dispose()
    {
        Close();
        _batch.Dispose();
    }

    private void BeginSegment(long first)
    {
        makeRoom(FullSize);
        Segment begun = new(first, length: 0);
        _file = _segments.Folder.Create(begun.Name, FullSize);
        _newest = begun;
        _segments.Add(begun);
    }

    private void WriteBatch()
    {
        if (_batch.Length == 0)
            return;
        Segment newest = _newest!;
        try
        {
            _file ??= _segments.Folder.Open(newest.Name);
            _file.Write(newest.Length, _batch.GetBuffer().AsSpan(0, (int)_batch.Length));
            _file.Flush();
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            _batch.SetLength(0);
            if (e is FileNotFoundException)
                _newest = null;
            TakeBack(newest.Length);
            throw;
        }
        newest.Length += _batch.Length;
        Interlocked.Exchange(ref _last, _lastOfBatch);
        _batch.SetLength(0);
    }

    /// <summary>Takes what may have arrived of a failed write back. Where that fails too, the next write goes over it.</summary>
    private void TakeBack(long length)
    {
        try
        {
            _file?.Truncate(length);
        }
        catch (IOException) { }
        Close();
    }

    private void Close()
    {
        _file?.Dispose();
        _file = null;
    }
}
