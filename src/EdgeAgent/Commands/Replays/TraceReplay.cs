using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>Leads the readings of a history to the same watches that <c>run</c> leads live ones to, as fast as they can be read.</summary>
internal static class TraceReplay
{
    /// <summary>Replays to the end, the parts side by side. The same history gives the same events in the same order.</summary>
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
        EventList[] lists = [.. histories.Parts.Select(_ => new EventList())];
        await histories.ForEachAsync(
            (part, place) => Run(settings, machines, part, lists[place], cancellation),
            cancellation
        );
        EventList.Merge(lists, events);
    }

    private static void Run(
        AgentSettings settings,
        IReadOnlyList<WatchedMachineSettings> machines,
        IHistory history,
        IEventSink events,
        CancellationToken cancellation
    )
    {
        MachineWatch?[] watches = new MachineWatch?[machines.Count];
        while (history.TryRead(out TraceRow row))
        {
            cancellation.ThrowIfCancellationRequested();
            MachineWatch watch = watches[row.Machine] ??= new MachineWatch(
                MachinePlace.Of(settings, machines[row.Machine]),
                machines[row.Machine].Machine,
                history.ToWallClock,
                events
            );
            watch.Process(row.Reading);
        }
    }
}
