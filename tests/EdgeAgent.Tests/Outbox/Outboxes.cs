using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Outbox.Disk;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Warnings;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EdgeAgent.Tests.Outbox;

/// <summary>Outboxes, and events whose id tells how many were raised before.</summary>
internal static class Outboxes
{
    public const string Source = "/leafside/tea-hall/agents/dancerwatch";

    public static EventOutbox InMemory(int capacity, TimeProvider time) =>
        EventOutbox.InMemory(capacity, Source, time, NullLogger.Instance);

    /// <summary>An outbox on disk whose own work is done when <see cref="DiskStore.Tend"/> is called.</summary>
    public static (EventOutbox Outbox, DiskStore Store) OnDisk(
        IStateFolder folder,
        TimeProvider time,
        OutboxSettings? settings = null
    )
    {
        DiskStore store = new(folder, settings ?? new OutboxSettings(), time, NullLogger.Instance);
        return (new EventOutbox(store, Source, time, NullLogger.Instance), store);
    }

    /// <summary>An event whose id ends in <paramref name="number"/>.</summary>
    public static MachineEvent Event(int number) =>
        Machines.Event(Machines.LimitApproach with { Step = number, State = ConditionState.Changed });

    /// <summary>The number an event was made with.</summary>
    public static int NumberOf(OutboxEntry entry) =>
        int.Parse(entry.Id.AsSpan(entry.Id.LastIndexOf(':') + 1), provider: null);

    /// <summary>All there is to send now; each is acknowledged.</summary>
    public static List<OutboxEntry> Drain(this EventOutbox outbox)
    {
        List<OutboxEntry> sent = [];
        while (outbox.TryPeek() is { } entry)
        {
            sent.Add(entry);
            outbox.Acknowledge(entry);
        }
        return sent;
    }
}
