namespace Dancerwatch.EdgeAgent.Outbox;

/// <summary>One thing to send next: an event, or the word that events are lost.</summary>
/// <param name="Sequence">Its place in the order; for lost events the last of them.</param>
/// <param name="Source">Whom it is about, as in its payload: <c>/site/area/line/machine</c>. Its topic is made of it.</param>
/// <param name="Id">The event's id.</param>
/// <param name="ReadingTicks">
/// When the reading that decided was taken, monotonic ticks of 100 ns; null where that was in an earlier run of the program.
/// </param>
/// <param name="Payload">The event, encoded.</param>
public sealed record OutboxEntry(long Sequence, string Source, string Id, long? ReadingTicks, byte[] Payload)
{
    /// <summary>The events this is the word of; empty for an event proper.</summary>
    public LostRange Lost { get; init; }
}
