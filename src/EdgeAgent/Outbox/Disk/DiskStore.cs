using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Outbox.Segments;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EdgeAgent.Outbox.Disk;

/// <summary>
/// Events wait in segments on disk. A thread of its own writes them there, many at a time where many come; nothing is given
/// out before it is on disk. While the disk takes nothing they wait in memory.
/// </summary>
internal sealed class DiskStore : IEventStore
{
    /// <summary>Time between two looks after the cursor, acknowledged segments, and a disk that took nothing.</summary>
    public static readonly TimeSpan Pause = TimeSpan.FromSeconds(1);

    private const int LargestBatch = 256;

    private readonly IStateFolder _folder;
    private readonly ILogger _logger;
    private readonly TimeProvider _time;
    private readonly long _maximumBytes;
    private readonly CursorFile _cursor;
    private readonly SegmentSet _segments;
    private readonly SegmentWriter _writer;
    private readonly SegmentReader _reader;
    private readonly RejectedFile _rejected;
    private readonly PendingEvents _pending;
    private readonly WakeUp _work = new();
    private readonly long _lastOfEarlier;
    private long _keepAfter = long.MaxValue;
    private long _troubleSince;
    private bool _inTrouble;

    /// <exception cref="IOException">The folder cannot be used; the message says what to try.</exception>
    public DiskStore(IStateFolder folder, OutboxSettings settings, TimeProvider time, ILogger logger)
    {
        _folder = folder;
        _logger = logger;
        _time = time;
        _maximumBytes = (long)settings.MaximumMegabytes << 20;
        try
        {
            _cursor = CursorFile.Open(folder);
            RecoveredSegments recovered = RecoveredSegments.Of(folder, logger);
            _segments = recovered.Segments;
            _writer = new SegmentWriter(recovered, MakeRoom);
            Restored = _cursor.Found ?? FromTheBeginning();
            _lastOfEarlier = Math.Max(recovered.Last, Restored.Done);
            // Both a proof that the folder can be written and a place of our own on disk.
            _cursor.Save(Restored);
            _cursor.Flush();
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            _cursor?.Dispose();
            throw StateFolder.Unusable(folder.Path, e);
        }
        _reader = new SegmentReader(_segments, logger);
        _rejected = new RejectedFile(folder);
        _pending = new PendingEvents(settings.MemoryEvents, _lastOfEarlier);
        if (_lastOfEarlier > Restored.Done)
            logger.OutboxRestored(folder.Path, Restored.Done + 1, _lastOfEarlier);
    }

    public Cursor Restored { get; }

    public WakeUp Readable { get; } = new();

    public long LastSequence => _pending.LastSequence;

    public long LastReadable => Math.Max(_writer.Last, _lastOfEarlier);

    public int Unwritten => _pending.Count;

    public long Bytes => _segments.Bytes;

    public long Damages => _reader.Damages;

    public void Add(MachineEvent raised)
    {
        _pending.Add(raised);
        _work.Set();
    }

    public OutboxEntry? Next()
    {
        while (_reader.TryNext(out long sequence, out ReadOnlySpan<byte> content))
        {
            if (StoredEvent.Decode(sequence, content, sequence > _lastOfEarlier) is { } entry)
                return entry;
        }
        return null;
    }

    public void Save(Cursor cursor)
    {
        try
        {
            _cursor.Save(cursor);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // The writing thread tries again within a second, and tells of it.
        }
    }

    public void KeepRejected(OutboxEntry rejected, string answer)
    {
        try
        {
            _rejected.Add(rejected, answer);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            _logger.RejectedNotKept(e.Message);
        }
    }

    public void KeepAfter(long sequence) => Interlocked.Exchange(ref _keepAfter, sequence);

    public IEnumerable<OutboxEntry> KeptAfter(long sequence)
    {
        // Damage is told by the reader that sends.
        SegmentReader reader = new(_segments, NullLogger.Instance, sequence);
        List<OutboxEntry> kept = [];
        while (reader.TryNext(out long number, out ReadOnlySpan<byte> content))
        {
            if (number > sequence && StoredEvent.Decode(number, content, ofThisRun: false) is { } entry)
                kept.Add(entry);
        }
        return kept;
    }

    // A thread of its own: a disk may keep it waiting for seconds, and the pool has polls to serve.
    public Task RunAsync(CancellationToken cancellation) =>
        Task.Factory.StartNew(
            () => Work(cancellation),
            CancellationToken.None,
            TaskCreationOptions.LongRunning,
            TaskScheduler.Default
        );

    public async ValueTask DisposeAsync()
    {
        // What was raised while the loops ended.
        await Task.Run(() => Tend(evenInTrouble: true));
        _writer.Dispose();
        _cursor.Dispose();
        _work.Dispose();
        Readable.Dispose();
    }

    private void Work(CancellationToken cancellation)
    {
        using ITimer timer = _time.CreateTimer(_ => _work.Set(), null, Pause, Pause);
        try
        {
            while (true)
            {
                Tend();
                _work.Wait(cancellation);
            }
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested) { }
    }

    /// <summary>Does once what there is to do.</summary>
    internal void Tend(bool evenInTrouble = false)
    {
        if (_inTrouble && !evenInTrouble && _time.GetElapsedTime(_troubleSince) < Pause)
            return;
        try
        {
            if (_inTrouble)
                GiveSpaceBack();
            WritePending();
            Reclaim();
            if (_inTrouble)
                _logger.DiskTroubleOver();
            _inTrouble = false;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            if (!_inTrouble)
                _logger.DiskTroubleBegun(e.Message, _folder.Path);
            _inTrouble = true;
            _troubleSince = _time.GetTimestamp();
        }
    }

    private void WritePending()
    {
        while (_pending.Take(LargestBatch) is { Count: > 0 } batch)
        {
            try
            {
                _writer.Append(batch.Select(Encode));
            }
            catch
            {
                _pending.Return([.. batch.SkipWhile(written => written.Sequence <= _writer.Last)]);
                throw;
            }
            finally
            {
                Readable.Set();
            }
        }
    }

    private static (long Sequence, byte[] Content) Encode(NumberedEvent numbered)
    {
        (long sequence, MachineEvent raised) = numbered;
        byte[] payload = EventPayload.Of(raised, sequence);
        return (sequence, StoredEvent.Encode(raised.Place.Path, raised.Id, raised.Transition.Ticks, payload));
    }

    /// <summary>Deletes segments that are done with, and needed by nobody else. The cursor goes first: it must never look as if they had been lost.</summary>
    private Cursor Reclaim()
    {
        Cursor onDisk = _cursor.Flush();
        _segments.DeleteThrough(Math.Min(onDisk.Done, Interlocked.Read(ref _keepAfter)));
        return onDisk;
    }

    /// <summary>On a full disk the newest segment goes too, once it is done with: its space is enough for the next.</summary>
    private void GiveSpaceBack()
    {
        if (Reclaim().Done < _writer.Last)
            return;
        _writer.EndSegment();
        while (_segments.Oldest is { } segment)
            _segments.Delete(segment);
    }

    private void MakeRoom(long bytes)
    {
        long done = Reclaim().Done;
        while (_segments.Oldest is { } oldest && _segments.Bytes + bytes > _maximumBytes)
        {
            _segments.Delete(oldest);
            long last = (_segments.Oldest?.First ?? _writer.Last + 1) - 1;
            if (last > done)
                _logger.OldestDeleted(last);
        }
    }

    private Cursor FromTheBeginning()
    {
        if (_segments.Oldest is not { } oldest)
            return default;
        _logger.CursorLost(_folder.Path);
        return new Cursor(oldest.First - 1, default);
    }
}
