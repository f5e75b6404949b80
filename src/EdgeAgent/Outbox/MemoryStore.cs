using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;

namespace Dancerwatch.EdgeAgent.Outbox;

/// <summary>Events wait in memory, and die with the process. About 1 kB each.</summary>
internal sealed class MemoryStore(int capacity) : IEventStore
{
    private readonly PendingEvents _pending = new(capacity, last: 0);

    public WakeUp Readable { get; } = new();

    public Cursor Restored => default;

    public long LastSequence => _pending.LastSequence;

    public long LastReadable => _pending.LastSequence;

    public int Unwritten => _pending.Count;

    public long Bytes => 0;

    public long Damages => 0;

    public void Add(MachineEvent raised)
    {
        _pending.Add(raised);
        Readable.Set();
    }

    public OutboxEntry? Next() =>
        _pending.Take(1) is [(long sequence, MachineEvent raised)]
            ? new OutboxEntry(
                sequence,
                raised.Place.Path,
                raised.Id,
                raised.Transition.Ticks,
                EventPayload.Of(raised, sequence)
            )
            : null;

    public void Save(Cursor cursor) { }

    public void KeepRejected(OutboxEntry rejected, string answer) { }

    public void KeepAfter(long sequence) { }

    public IEnumerable<OutboxEntry> KeptAfter(long sequence) => [];

    public async Task RunAsync(CancellationToken cancellation) =>
        await Task.Delay(Timeout.Infinite, cancellation)
            .ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);

    public ValueTask DisposeAsync()
    {
        Readable.Dispose();
        return ValueTask.CompletedTask;
    }
}
