using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.EdgeAgent.Outbox;

/// <summary>An event with its place in the order.</summary>
internal readonly record struct NumberedEvent(long Sequence, MachineEvent Event);

/// <summary>
/// Events in memory, oldest first, numbered as they come. Bounded: beyond it the oldest gives way, for a newer warning is
/// worth more; its number stays behind as a hole. Thread-safe, and never waits for more than a few instructions of another.
/// </summary>
/// <param name="capacity">Events it holds at most; at least 1.</param>
/// <param name="last">The last number that was given to an event.</param>
internal sealed class PendingEvents(int capacity, long last)
{
    private readonly Lock _gate = new();
    private readonly LinkedList<NumberedEvent> _events = [];
    private long _last = last;

    public int Count
    {
        get
        {
            lock (_gate)
                return _events.Count;
        }
    }

    /// <summary>The last number that was given to an event.</summary>
    public long LastSequence
    {
        get
        {
            lock (_gate)
                return _last;
        }
    }

    public void Add(MachineEvent raised)
    {
        lock (_gate)
        {
            _events.AddLast(new NumberedEvent(++_last, raised));
            DropBeyondCapacity();
        }
    }

    /// <summary>Takes the oldest out.</summary>
    public List<NumberedEvent> Take(int atMost)
    {
        lock (_gate)
        {
            List<NumberedEvent> taken = [];
            while (taken.Count < atMost && _events.First is { } oldest)
            {
                taken.Add(oldest.Value);
                _events.RemoveFirst();
            }
            return taken;
        }
    }

    /// <summary>Puts back what was taken and could not be used.</summary>
    public void Return(IReadOnlyList<NumberedEvent> taken)
    {
        lock (_gate)
        {
            for (int i = taken.Count - 1; i >= 0; i--)
                _events.AddFirst(taken[i]);
            DropBeyondCapacity();
        }
    }

    private void DropBeyondCapacity()
    {
        while (_events.Count > capacity)
            _events.RemoveFirst();
    }
}
