using System.Globalization;
using Dancerwatch.Bench.WarningQuality;
using Dancerwatch.Bench.WarningQuality.FilmPath;
using Dancerwatch.Bench.WarningQuality.History;
using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Bench.WarningQuality.Watchers;

// How good the warnings are, on virtual machines drawn at random, faster than real time:
//   dotnet run -c Release --project bench/WarningQuality -- [first seed] [machines] [healthy hours each] [what] [scenario]
// what: "table", all of it; "shipped", without baselines and operating curves; "story", what happened in each run; "load",
// how many alarms a person gets.
// scenario: part of a scenario's name; only those are run.
//   dotnet run -c Release --project bench/WarningQuality -- film-path [first seed] [machines]
// whether the film path tells an unwind that upsets the film from film that wanders by itself.
//   dotnet run -c Release --project bench/WarningQuality -- record DIR [first seed] [machines] [healthy hours each]
// writes recordings and a configuration into DIR, to try 'dancerwatch replay' and 'dancerwatch tune' on.
//   dotnet run -c Release --project bench/WarningQuality -- decode RECORDINGS
// how fast recordings are decoded to readings.
// Seeds below 1,000 are for tuning, those above 10,000 for the table.
CultureInfo.CurrentCulture = CultureInfo.InvariantCulture;
if (args is ["film-path", var seed, var count])
{
    FilmPathTable.Run(
        int.Parse(seed, CultureInfo.InvariantCulture),
        int.Parse(count, CultureInfo.InvariantCulture)
    );
    return;
}
if (args is ["decode", var recordings])
{
    DecodingRate.Measure(recordings);
    return;
}
if (args is ["record", var directory, .. var rest])
{
    HistoryMaker.Make(
        directory,
        rest.Length > 0 ? int.Parse(rest[0], CultureInfo.InvariantCulture) : 30_001,
        rest.Length > 1 ? int.Parse(rest[1], CultureInfo.InvariantCulture) : 8,
        3600 * (rest.Length > 2 ? double.Parse(rest[2], CultureInfo.InvariantCulture) : 2)
    );
    return;
}
int first = args.Length > 0 ? int.Parse(args[0], CultureInfo.InvariantCulture) : 10_001;
int machines = args.Length > 1 ? int.Parse(args[1], CultureInfo.InvariantCulture) : 20;
double healthyHours = args.Length > 2 ? double.Parse(args[2], CultureInfo.InvariantCulture) : 2;
string what = args.Length > 3 ? args[3] : "table";
string scenario = args.Length > 4 ? args[4] : "";

IReadOnlyList<WatcherKind> kinds = what == "table" ? WatcherKind.All : WatcherKind.Shipped;
IReadOnlyList<RunResult> results = Laboratory.Run(first, machines, healthyHours * 3600, kinds, scenario);
if (what == "story")
    Story.Tell(Console.Out, results, kinds);
else if (what == "load")
    LoadTable.Print(Console.Out, results, kinds);
else
    new Table(Console.Out, results, kinds).Print(first, machines);
