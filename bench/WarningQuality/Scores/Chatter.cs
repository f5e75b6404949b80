using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Bench.WarningQuality.Watchers;

namespace Dancerwatch.Bench.WarningQuality.Scores;

/// <summary>A warning chatters when it is raised three times or more within a minute (ISA-18.2, from memory).</summary>
internal static class Chatter
{
    private const int Raises = 3;
    private const double Seconds = 60;

    /// <summary>Raises that complete such three.</summary>
    /// <param name="run">What happened; a trip in between ends the count, for what is raised after a start is raised anew.</param>
    /// <param name="watcher">Who warned.</param>
    public static IEnumerable<Alert> Of(RunResult run, string watcher) =>
        run.AlertsOf(watcher)
            .GroupBy(a => (a.Condition, run.Trips.Count(t => t.Seconds < a.Seconds)))
            .SelectMany(same =>
            {
                Alert[] all = [.. same];
                return Enumerable
                    .Range(0, Math.Max(0, all.Length - Raises + 1))
                    .Where(i => all[i + Raises - 1].Seconds - all[i].Seconds < Seconds)
                    .Select(i => all[i + Raises - 1]);
            });
}
