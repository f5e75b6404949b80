using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>Leads the readings of a history to the same watches that <c>run</c> leads live ones to, as fast as they can be read.</summary>
internal static class TraceReplay
{
    /// <summary>Replays to the end, the machines side by side. The same history gives the same events in the same order.</summary>
    /// <param name="settings">The configuration; only site and area are used of it.</param>
    /// <param name="machines">The machines the history was opened for, in the same order.</param>
    public static async Task RunAsync(
        AgentSettings settings,
        IReadOnlyList<WatchedMachineSettings> machines,
        Histories histories,
        IEventSink events,
        CancellationToken cancellation
    )
    {
        EventList?[] lists = new EventList?[machines.Count];
        await histories.ReadAsync(
            history =>
                new MachineWatch(
                    MachinePlace.Of(settings, machines[history.Machine]),
                    machines[history.Machine].Machine,
                    history.ToWallClock,
                    lists[history.Machine] = new EventList(history.OrderOf)
                ).Process,
            cancellation
        );
        EventList.Merge([.. lists.OfType<EventList>()], events);
    }
}
