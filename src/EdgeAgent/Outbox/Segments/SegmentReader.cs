using Dancerwatch.EdgeAgent.Outbox.Disk;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Outbox.Segments;

/// <summary>Reads the records that are on disk, oldest first, each once, while others are appended and deleted. One thread.</summary>
/// <param name="after">Segments are passed over whose events all have numbers up to this.</param>
internal sealed class SegmentReader(SegmentSet segments, ILogger logger, long after = 0)
{
    private Segment? _segment;
    private long _first = (segments.Holding(after)?.First ?? 0) - 1;
    private byte[] _bytes = new byte[SegmentWriter.FullSize];
    private int _loaded;
    private int _position;
    private bool _gone;
    private long _damages;

    /// <summary>Stretches of bytes that were not as they had been written.</summary>
    public long Damages => Interlocked.Read(ref _damages);

    /// <returns>False where there is none yet.</returns>
    public bool TryNext(out long sequence, out ReadOnlySpan<byte> content)
    {
        while (true)
        {
            // Asked first: once there is a next segment, this one grows no more.
            Segment? next = segments.After(_first);
            if (_segment is not null && TryNextOfSegment(_segment, out sequence, out content))
                return true;
            if (next is null)
            {
                sequence = 0;
                content = default;
                return false;
            }
            Leave();
            _segment = next;
            _first = next.First;
        }
    }

    private bool TryNextOfSegment(Segment segment, out long sequence, out ReadOnlySpan<byte> content)
    {
        if (!_gone)
            LoadTo(segment, (int)segment.Length);
        RecordScan scan = new(_bytes.AsSpan(_position.._loaded));
        bool found = scan.Next(out sequence, out content);
        _position += scan.Position;
        if (scan.Damages > 0)
            CountDamage(segment);
        return found;
    }

    private void Leave()
    {
        if (_segment is not null && _position < _loaded)
            CountDamage(_segment);
        _segment = null;
        _loaded = 0;
        _position = 0;
        _gone = false;
    }

    private void CountDamage(Segment segment)
    {
        Interlocked.Increment(ref _damages);
        logger.SegmentDamaged(segment.Name);
    }

    private void LoadTo(Segment segment, int length)
    {
        if (length <= _loaded)
            return;
        if (length > _bytes.Length)
            Array.Resize(ref _bytes, length);
        try
        {
            using IStateFile file = segments.Folder.Open(segment.Name);
            _loaded += file.Read(_loaded, _bytes.AsSpan(_loaded..length));
        }
        catch (FileNotFoundException)
        {
            // Deleted meanwhile, all of it done with or given up: the next segment goes on.
            _gone = true;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            _gone = true;
            Interlocked.Increment(ref _damages);
            logger.SegmentUnreadable(segment.Name, e.Message);
        }
    }
}
