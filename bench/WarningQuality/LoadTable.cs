using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Bench.WarningQuality.Scores;
using Dancerwatch.Bench.WarningQuality.Watchers;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.Bench.WarningQuality;

/// <summary>How many alarms a person gets from healthy and from faulty machines.</summary>
internal static class LoadTable
{
    private const int Flood = 10;

    public static void Print(
        TextWriter to,
        IReadOnlyList<RunResult> results,
        IReadOnlyList<WatcherKind> kinds
    )
    {
        to.WriteLine(
            "watcher              machines    hours  raised  an hour  changed an hour | in 10 min: most  above 10 | high medium  low | chatter fleeting  longest min"
        );
        foreach (WatcherKind kind in kinds)
        {
            Row(to, $"{kind.Name}", "healthy", [.. results.Where(run => run.Fault is null)], kind.Name);
            Row(to, "", "faulty", [.. results.Where(run => run.Fault is not null)], kind.Name);
        }
    }

    private static void Row(
        TextWriter to,
        string name,
        string machines,
        IReadOnlyCollection<RunResult> runs,
        string watcher
    )
    {
        AlarmLoad load = new(runs, watcher);
        to.WriteLine(
            $"{name, -20} {machines, -8} {load.Hours, 8:F1} {load.Raised, 7} {load.RaisedAnHour, 8:F2} {load.Changed / load.Hours, 16:F2} |"
                + $" {load.Peak, 15} {load.SpansAbove(Flood), 9:P2} |"
                + $" {load.Share(Priority.High), 4:P0} {load.Share(Priority.Medium), 6:P0} {load.Share(Priority.Low), 4:P0} |"
                + $" {load.Chattering, 7} {load.Fleeting, 8} {load.LongestSeconds / 60, 12:F0}"
        );
    }
}
