using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.EdgeAgent.Outbox;

/// <summary>
/// Events on their way to the broker, oldest first. Any thread puts in; one publisher takes out, and acknowledges what
/// arrived. What is not acknowledged is given again.
/// </summary>
public interface IOutbox : IEventSink
{
    /// <summary>The oldest event that is not acknowledged; waits for one.</summary>
    /// <exception cref="OperationCanceledException"><paramref name="cancellation"/> was cancelled.</exception>
    ValueTask<OutboxEntry> PeekAsync(CancellationToken cancellation);

    /// <summary>This event is done with. Nothing happens where it is not the oldest any more.</summary>
    void Acknowledge(OutboxEntry entry);

    /// <summary>Events waiting.</summary>
    int Count { get; }

    /// <summary>Events that had to give way to newer ones, since the start.</summary>
    long Dropped { get; }
}

/// <summary>One event as it will be sent.</summary>
/// <param name="Position">Counts up from 1 within an outbox.</param>
/// <param name="Place">The machine; its topic is made of it.</param>
/// <param name="Id">The event's id.</param>
/// <param name="ReadingTicks">When the reading that decided was taken, monotonic ticks of 100 ns.</param>
/// <param name="Payload">The event, encoded.</param>
public sealed record OutboxEntry(
    long Position,
    MachinePlace Place,
    string Id,
    long ReadingTicks,
    byte[] Payload
);
