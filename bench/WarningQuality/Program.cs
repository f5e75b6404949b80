using System.Globalization;
using Dancerwatch.Bench.WarningQuality;
using Dancerwatch.Bench.WarningQuality.FilmPath;
using Dancerwatch.EndToEnd.Tests.Signals;
using Dancerwatch.Signals.Warnings;

// How good the warnings are, on virtual machines drawn at random, faster than real time:
//   dotnet run -c Release --project bench/WarningQuality -- [first seed] [machines] [two]
// "two": only gap and unwind speed are read. Seeds below 1,000 are for tuning.
CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
if (args is ["film-path", var seed, var count])
{
    FilmPathTable.Run(
        int.Parse(seed, CultureInfo.InvariantCulture),
        int.Parse(count, CultureInfo.InvariantCulture)
    );
    return;
}
int first = args.Length > 0 ? int.Parse(args[0], CultureInfo.InvariantCulture) : 40_001;
int machines = args.Length > 1 ? int.Parse(args[1], CultureInfo.InvariantCulture) : 10;
bool onlyTwoSignals = args.Length > 2 && args[2] == "two";
Console.WriteLine(
    $"seeds {first} to {first + machines - 1}, {(onlyTwoSignals ? "gap and unwind speed only" : "all signals")}"
);

Console.WriteLine(
    "fault              trips  warned  lead median  shortest, s  cause first  in three  false before"
);
List<FaultRow> rows = [];
foreach (Scenario scenario in Scenario.Faults)
{
    FaultRow row = new(scenario, Run(scenario));
    rows.Add(row);
    Console.WriteLine(
        $"{row.Name, -18} {row.Trips, 5} {row.Fresh, 7} {row.MedianLead, 12:F1} {row.ShortestLead, 12:F1} {row.CauseFirst, 12} {row.CauseInThree, 9} {row.FalseBefore, 13}"
    );
}
Console.WriteLine(
    $"{"all", -18} {rows.Sum(r => r.Trips), 5} {rows.Sum(r => r.Fresh), 7} {"", 12} {"", 12} {rows.Sum(r => r.CauseFirst), 12} {rows.Sum(r => r.CauseInThree), 9} {rows.Sum(r => r.FalseBefore), 13}"
);

Console.WriteLine("healthy            false  hours");
foreach (Scenario scenario in Scenario.Healthy)
{
    ScenarioRun[] runs = Run(scenario);
    // A roll that ends is no fault, but true.
    int raised = runs.Sum(run => run.Raised.Count(t => t.Condition != Condition.RollEnding));
    Console.WriteLine(
        $"{scenario.Name, -18} {raised, 5} {runs.Sum(run => run.Dancer.TimeSeconds) / 3600, 6:F1}"
    );
}

ScenarioRun[] Run(Scenario scenario) =>
    [
        .. Enumerable
            .Range(first, machines)
            .AsParallel()
            .AsOrdered()
            .Select(seed => new ScenarioRun(scenario, seed, onlyTwoSignals).ToEnd()),
    ];
