using Dancerwatch.EdgeAgent.Commands.Replays;
using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.Bench.FleetHistory.Making;

/// <summary>
/// Makes a fleet's history, faster than real time: readings as the agents of four sites would have recorded and copied them,
/// events as a reader at the centre would have written them, configurations, and the truth beside them.
/// </summary>
internal static class FleetMaker
{
    /// <summary>An event is sent again now and then; so are some of these.</summary>
    private const int RepeatEvery = 10;

    /// <param name="threads">Machines at a time.</param>
    /// <returns>Machine-hours made.</returns>
    public static double Make(
        FleetFolders into,
        int machines,
        double fromHour,
        double hours,
        double pollSeconds,
        int threads
    )
    {
        FleetPlan plan = new(machines, hours, fromHour);
        Truth[] truths = new Truth[machines];
        EventList[] events = [.. plan.Machines.Select(_ => new EventList(raised => raised.Milliseconds))];
        Parallel.For(
            0,
            machines,
            new ParallelOptions { MaxDegreeOfParallelism = threads },
            i =>
            {
                PlannedMachine machine = plan.Machines[i];
                MachineDay day = new(machine, pollSeconds);
                MachineWatch watch = new(
                    new MachinePlace(machine.Site, PlannedMachine.Area, machine.Line, machine.Name),
                    day.Settings,
                    ticks => Shifts.Midnight.AddTicks(ticks),
                    events[i]
                );
                using DayRecorder recorder = new(into.Ring(machine.Site), machine.Name);
                truths[i] = day.Run(fromHour * 3600, hours, watch, recorder);
                recorder.Finish();
            }
        );
        foreach (
            IGrouping<string, int> site in Enumerable.Range(0, machines).GroupBy(i => plan.Machines[i].Site)
        )
        {
            WriteEvents(into.Incoming(site.Key), [.. site.Select(i => events[i])]);
            PlannedMachine[] there = [.. site.Select(i => plan.Machines[i])];
            Directory.CreateDirectory(Path.GetDirectoryName(into.Configuration(site.Key))!);
            File.WriteAllText(
                into.Configuration(site.Key),
                SiteConfiguration.Text(site.Key, there, pollSeconds)
            );
        }
        TruthFiles.Write(into, truths, plan.Odd);
        return machines * hours;
    }

    private static void WriteEvents(string path, IReadOnlyList<EventList> lists)
    {
        Directory.CreateDirectory(Path.GetDirectoryName(path)!);
        using (FileStream file = File.Create(path))
            EventList.Merge(lists, new EventsFile(file));
        string[] lines = File.ReadAllLines(path);
        File.AppendAllLines(path, lines.Where((_, i) => i % RepeatEvery == 0));
    }
}
