using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>Leads the readings of a trace to the same watches that <c>run</c> leads live ones to, as fast as they can be read.</summary>
internal static class TraceReplay
{
    /// <summary>Replays to the end.</summary>
    /// <param name="settings">The configuration; only site and area are used of it.</param>
    /// <param name="machines">The machines the trace was opened for, in the same order.</param>
    public static void Run(
        AgentSettings settings,
        IReadOnlyList<WatchedMachineSettings> machines,
        CsvTraceReader trace,
        IEventSink events,
        CancellationToken cancellation
    )
    {
        MachineWatch[] watches =
        [
            .. machines.Select(machine => new MachineWatch(
                MachinePlace.Of(settings, machine),
                machine.Machine,
                // Known from the first row on; nothing is raised before it.
                ticks => trace.Zero!.Value.AddTicks(ticks),
                events
            )),
        ];
        while (trace.TryRead(out TraceRow row))
        {
            cancellation.ThrowIfCancellationRequested();
            watches[row.Machine].Process(row.Reading);
        }
    }
}
