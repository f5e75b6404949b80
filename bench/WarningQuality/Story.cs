using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Bench.WarningQuality.Watchers;

namespace Dancerwatch.Bench.WarningQuality;

/// <summary>What happened in each run, in order, one line an event: to see why a row of the table is as it is.</summary>
internal static class Story
{
    public static void Tell(TextWriter to, IReadOnlyList<RunResult> results, IReadOnlyList<WatcherKind> kinds)
    {
        foreach (RunResult run in results)
        {
            to.WriteLine();
            string fault = run.Fault is { } f
                ? $"{f.Fault} from {f.StartSeconds:F0} s over {f.GrowthSeconds:F0} s to {f.Severity:F2}, visible at {run.VisibleSeconds:F1} s"
                : "healthy";
            to.WriteLine($"{run.Scenario.Name}, seed {run.Seed}: {fault}; ends at {run.EndSeconds:F0} s");
            IEnumerable<(double Seconds, string Text)> trips = run.Trips.Select(t =>
                (t.Seconds, $"TRIP {t.Side} ({t.Seconds - t.FreshFrom:F1} s after it could be told)")
            );
            IEnumerable<(double Seconds, string Text)> alerts = kinds.SelectMany(k =>
                run.AlertsOf(k.Name).Select(a => (a.Seconds, $"{k.Feed}: {Text(a)}"))
            );
            foreach ((double seconds, string text) in trips.Concat(alerts).OrderBy(e => e.Seconds))
                to.WriteLine($"  {seconds, 8:F1}  {text}");
        }
    }

    private static string Text(Alert a) =>
        $"{a.Condition} {a.Side}: {a.Causes.First.Cause} {a.Causes.First.Confidence:F2}, {a.Causes.Second.Cause} {a.Causes.Second.Confidence:F2}, {a.Causes.Third.Cause} {a.Causes.Third.Confidence:F2}";
}
