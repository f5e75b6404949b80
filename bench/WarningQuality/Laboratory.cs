using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Bench.WarningQuality.Scenarios;
using Dancerwatch.Bench.WarningQuality.Watchers;

namespace Dancerwatch.Bench.WarningQuality;

/// <summary>Runs every scenario on every machine, on all cores; the order of results does not depend on them.</summary>
internal static class Laboratory
{
    public static IReadOnlyList<RunResult> Run(
        int firstSeed,
        int machines,
        double healthySeconds,
        IReadOnlyList<WatcherKind> kinds,
        string only = ""
    )
    {
        (Scenario Scenario, int Seed)[] all =
        [
            .. from scenario in Ensemble.Faults.Concat(Ensemble.Healthy)
            where scenario.Name.Contains(only, StringComparison.Ordinal)
            from seed in Enumerable.Range(firstSeed, machines)
            select (scenario, seed),
        ];
        RunResult[] results = new RunResult[all.Length];
        EachCore.Run(all.Length, i => results[i] = Run(all[i].Scenario, all[i].Seed, healthySeconds, kinds));
        return results;
    }

    private static RunResult Run(
        Scenario scenario,
        int seed,
        double healthySeconds,
        IReadOnlyList<WatcherKind> kinds
    )
    {
        MachineRun run = new(scenario, seed, healthySeconds);
        return run.Run(WatcherKind.Make(kinds, run.Settings));
    }
}
