namespace Dancerwatch.EdgeAgent.Waiting;

/// <summary>Somebody who waits on the poll thread.</summary>
internal interface IWaiter
{
    /// <summary>What was waited for is there. On the poll thread; must not throw.</summary>
    void Wake();
}

/// <summary>Who waits for which instant, the earliest first. Allocates only to grow. Not thread-safe.</summary>
internal sealed class Deadlines
{
    private readonly PriorityQueue<IWaiter, long> _waiting = new();

    /// <summary>The earliest instant waited for; the end of time for none.</summary>
    public long Next => _waiting.TryPeek(out _, out long due) ? due : long.MaxValue;

    public void Add(long due, IWaiter waiter) => _waiting.Enqueue(waiter, due);

    /// <summary>Takes the one whose instant has come, the earliest first; null where there is none.</summary>
    public IWaiter? TakeDue(long now) => Next <= now ? _waiting.Dequeue() : null;
}
