using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;

namespace Dancerwatch.EdgeAgent.Outbox;

/// <summary>
/// An outbox in memory: bounded; when full the oldest event gives way and is counted, since a newer warning is worth
/// more than an older one. An event takes about 1 kB. Does not outlive the process.
/// </summary>
public sealed class EventQueue : IOutbox, IDisposable
{
    private readonly Lock _gate = new();
    private readonly Queue<OutboxEntry> _entries = new();
    private readonly SemaphoreSlim _arrived = new(initialCount: 0, maxCount: 1);
    private readonly int _capacity;
    private long _position;
    private long _dropped;

    /// <param name="capacity">Events it holds at most; at least 1.</param>
    public EventQueue(int capacity)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(capacity, 1);
        _capacity = capacity;
    }

    public int Count
    {
        get
        {
            lock (_gate)
                return _entries.Count;
        }
    }

    public long Dropped
    {
        get
        {
            lock (_gate)
                return _dropped;
        }
    }

    public void Raise(MachineEvent raised)
    {
        ArgumentNullException.ThrowIfNull(raised);
        byte[] payload = EventPayload.Of(raised);
        lock (_gate)
        {
            if (_entries.Count == _capacity)
            {
                _entries.Dequeue();
                _dropped++;
            }
            _entries.Enqueue(
                new OutboxEntry(++_position, raised.Place, raised.Id, raised.Transition.Ticks, payload)
            );
            if (_arrived.CurrentCount == 0)
                _arrived.Release();
        }
    }

    public async ValueTask<OutboxEntry> PeekAsync(CancellationToken cancellation)
    {
        while (true)
        {
            cancellation.ThrowIfCancellationRequested();
            lock (_gate)
            {
                if (_entries.TryPeek(out OutboxEntry? oldest))
                    return oldest;
            }
            await _arrived.WaitAsync(cancellation);
        }
    }

    public void Acknowledge(OutboxEntry entry)
    {
        ArgumentNullException.ThrowIfNull(entry);
        lock (_gate)
        {
            // While it was on its way it may have given way to a newer one.
            if (_entries.TryPeek(out OutboxEntry? oldest) && oldest.Position == entry.Position)
                _entries.Dequeue();
        }
    }

    public void Dispose() => _arrived.Dispose();
}
