using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Outbox.Disk;
using Dancerwatch.EdgeAgent.Watching;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Outbox;

/// <summary>
/// Events on their way to the broker, in the order of their numbers and never of a clock. Any thread puts in; one publisher
/// takes out, and says what became of each. What it says nothing of is given again, in this run or the next. Where numbers
/// are missing, the word that those events are lost goes first.
/// </summary>
public sealed class EventOutbox : IEventSink, IAsyncDisposable
{
    private readonly IEventStore _store;
    private readonly UntoldLoss _untold;
    private readonly ILogger _logger;
    private OutboxEntry? _head;
    private long _done;
    private long _lost;
    private long _rejected;

    /// <param name="source">Who speaks of lost events: <c>/site/area/agents/agent</c>.</param>
    internal EventOutbox(IEventStore store, string source, TimeProvider time, ILogger logger)
    {
        _store = store;
        _logger = logger;
        _done = store.Restored.Done;
        _untold = new UntoldLoss(source, store.Restored.Untold, store.Readable.Set, time);
    }

    /// <summary>Events wait in <paramref name="directory"/> and survive the process; on disk before they are given out.</summary>
    /// <inheritdoc cref="EventOutbox(IEventStore, string, TimeProvider, ILogger)"/>
    /// <param name="folder">Name of their folder in the directory: each outbox has its own.</param>
    /// <exception cref="IOException">The directory cannot be used; the message says why and what to try.</exception>
    public static EventOutbox OnDisk(
        string directory,
        OutboxSettings settings,
        string source,
        TimeProvider time,
        ILogger logger,
        string folder = "outbox"
    )
    {
        DiskStore store = new(StateFolder.Open(directory, folder), settings, time, logger);
        return new EventOutbox(store, source, time, logger);
    }

    /// <summary>Events wait in memory and die with the process.</summary>
    /// <inheritdoc cref="EventOutbox(IEventStore, string, TimeProvider, ILogger)"/>
    /// <param name="capacity">Events it holds at most; at least 1.</param>
    public static EventOutbox InMemory(int capacity, string source, TimeProvider time, ILogger logger)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(capacity, 1);
        return new EventOutbox(new MemoryStore(capacity), source, time, logger);
    }

    /// <summary>Events not dealt with yet.</summary>
    public long Waiting => _store.LastSequence - Interlocked.Read(ref _done);

    /// <summary>Events lost since the start: dropped, deleted, damaged or rejected.</summary>
    public long Lost => Interlocked.Read(ref _lost);

    /// <summary>Those of them that the broker rejected.</summary>
    public long Rejected => Interlocked.Read(ref _rejected);

    /// <inheritdoc cref="IEventStore.LastSequence"/>
    internal long LastSequence => _store.LastSequence;

    /// <summary>The number of the last event that a kill cannot take any more.</summary>
    internal long LastKept => _store.LastReadable;

    /// <inheritdoc cref="IEventStore.Unwritten"/>
    public int Unwritten => _store.Unwritten;

    /// <inheritdoc cref="IEventStore.Bytes"/>
    public long Bytes => _store.Bytes;

    /// <inheritdoc cref="IEventStore.Damages"/>
    public long Damages => _store.Damages;

    public void Raise(MachineEvent raised)
    {
        ArgumentNullException.ThrowIfNull(raised);
        _store.Add(raised);
    }

    /// <inheritdoc cref="IEventStore.KeepAfter"/>
    internal void KeepAfter(long sequence) => _store.KeepAfter(sequence);

    /// <inheritdoc cref="IEventStore.KeptAfter"/>
    internal IEnumerable<OutboxEntry> KeptAfter(long sequence) => _store.KeptAfter(sequence);

    /// <summary>Keeps what is raised until <paramref name="cancellation"/>; then returns.</summary>
    public Task RunAsync(CancellationToken cancellation) => _store.RunAsync(cancellation);

    /// <summary>What to send next; waits for it.</summary>
    /// <exception cref="OperationCanceledException"><paramref name="cancellation"/> was cancelled.</exception>
    public async ValueTask<OutboxEntry> PeekAsync(CancellationToken cancellation)
    {
        while (true)
        {
            cancellation.ThrowIfCancellationRequested();
            if (TryPeek() is { } next)
                return next;
            await _store.Readable.WaitAsync(cancellation);
        }
    }

    /// <summary>What to send next; null where there is nothing now.</summary>
    internal OutboxEntry? TryPeek()
    {
        if (_head is null)
            FindNext();
        // What is lost came before what is next.
        return _untold.Offer() ?? _head;
    }

    /// <summary>The broker has it.</summary>
    public void Acknowledge(OutboxEntry entry)
    {
        ArgumentNullException.ThrowIfNull(entry);
        if (!entry.Lost.IsEmpty)
            _untold.Told(entry.Lost);
        else if (entry.Sequence == _head?.Sequence)
            Finish(entry);
        Save();
    }

    /// <summary>The broker will not take it: an event is put aside and told as lost, so that it does not block those behind it.</summary>
    /// <param name="answer">What the broker said.</param>
    public void Reject(OutboxEntry entry, string answer)
    {
        ArgumentNullException.ThrowIfNull(entry);
        if (!entry.Lost.IsEmpty)
        {
            _untold.Postpone();
        }
        else if (entry.Sequence == _head?.Sequence)
        {
            _store.KeepRejected(entry, answer);
            Interlocked.Increment(ref _rejected);
            Lose(entry.Sequence, entry.Sequence);
            Finish(entry);
            Save();
        }
    }

    public async ValueTask DisposeAsync()
    {
        await _store.DisposeAsync();
        _untold.Dispose();
    }

    private void FindNext()
    {
        long readable = _store.LastReadable;
        OutboxEntry? next = _store.Next();
        while (next?.Sequence <= _done)
            next = _store.Next();
        _head = next;
        long before = next?.Sequence - 1 ?? readable;
        if (before <= _done)
            return;
        _logger.EventsLost(_done + 1, before);
        Lose(_done + 1, before);
        Interlocked.Exchange(ref _done, before);
        Save();
    }

    private void Lose(long first, long last)
    {
        _untold.Add(first, last);
        Interlocked.Add(ref _lost, last - first + 1);
    }

    private void Finish(OutboxEntry entry)
    {
        _head = null;
        Interlocked.Exchange(ref _done, entry.Sequence);
    }

    private void Save() => _store.Save(new Cursor(_done, _untold.Range));
}
