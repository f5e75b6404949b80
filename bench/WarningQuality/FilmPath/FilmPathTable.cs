using Dancerwatch.Signals.FilmPath;

namespace Dancerwatch.Bench.WarningQuality.FilmPath;

/// <summary>
/// How well the film path's score separates machines whose unwind upsets the film from machines whose film wanders for
/// reasons elsewhere. Severities are drawn from 0.3 to 1. A fault too slight to move the dancer by 5 % of fill upsets
/// nothing: it is drawn anew, up to twelve times, and after that another machine; what came of first draws stands beside it.
/// </summary>
internal static class FilmPathTable
{
    private const int MostDraws = 12;

    /// <summary>So many times the machines asked for are tried until enough of them were upset.</summary>
    private const int MostTries = 4;

    /// <summary>Runs and prints all of it.</summary>
    public static void Run(int firstSeed, int machines)
    {
        Console.WriteLine($"film path, {machines} machines each, seeds from {firstSeed} on");
        (FilmPathDay Day, FilmPathRun Run)[] calm =
        [
            .. FilmPathDay
                .Calm.SelectMany(day => Enumerable.Range(firstSeed, machines).Select(seed => (day, seed)))
                .AsParallel()
                .AsOrdered()
                .Select(one => (one.day, new FilmPathRun(one.day, one.seed, severity: 0).ToDecision())),
        ];
        (FilmPathDay Day, Drawn Run)[] upset =
        [
            .. FilmPathDay.Upset.SelectMany(day =>
                Upset(day, firstSeed, machines).Select(drawn => (day, drawn))
            ),
        ];

        Console.WriteLine(
            $"{"", -28} {"machines", 8} {"mean score", 12} {"", 9} {"accumulator first", 18} {"", 9} {"area under ROC", 15}"
        );
        Console.WriteLine(
            $"{"", -28} {"", 8} {"with edge", 12} {"without", 9} {"with edge", 18} {"without", 9} {"with edge", 15} {"without", 9}"
        );
        foreach (var group in calm.GroupBy(one => one.Day.Name))
            Print(group.Key, [.. group.Select(one => one.Run)], []);
        FilmPathRun[] elsewhere = [.. calm.Select(one => one.Run)];
        Print("all whose film wanders", elsewhere, []);
        foreach (var group in upset.GroupBy(one => one.Day.Name))
            Print(group.Key, [.. group.Select(one => one.Run.Upset).OfType<FilmPathRun>()], elsewhere);
        Print(
            "all upset by the unwind",
            [.. upset.Select(one => one.Run.Upset).OfType<FilmPathRun>()],
            elsewhere
        );
        Print("first draws, slight ones too", [.. upset.Select(one => one.Run.First)], elsewhere);

        foreach (var group in upset.GroupBy(one => one.Day.Name))
        {
            Drawn[] drawn = [.. group.Select(one => one.Run)];
            Console.WriteLine(
                $"{group.Key}: {drawn.Length} machines tried, {drawn.Count(one => one.First.IsUpset)} upset at the first draw, {drawn.Count(one => one.Upset is not null)} within {MostDraws}"
            );
        }
    }

    /// <summary>Machine after machine, until enough of them were upset.</summary>
    private static List<Drawn> Upset(FilmPathDay day, int firstSeed, int machines)
    {
        List<Drawn> tried = [];
        for (int more = machines; more > 0 && tried.Count < MostTries * machines; )
        {
            tried.AddRange(
                Enumerable
                    .Range(firstSeed + tried.Count, more)
                    .AsParallel()
                    .AsOrdered()
                    .Select(seed => Draw(day, seed))
            );
            more = machines - tried.Count(one => one.Upset is not null);
        }
        return tried;
    }

    private static Drawn Draw(FilmPathDay day, int seed)
    {
        Random random = new(seed);
        FilmPathRun? first = null;
        for (int draw = 0; draw < MostDraws; draw++)
        {
            FilmPathRun run = new FilmPathRun(day, seed, 0.3 + (0.7 * random.NextDouble())).ToDecision();
            first ??= run;
            if (run.IsUpset)
                return new Drawn(first, run);
        }
        return new Drawn(first!, null);
    }

    private static void Print(string name, FilmPathRun[] runs, FilmPathRun[] against)
    {
        double[] with = [.. runs.Select(run => Score(run.WithEdgeRead))];
        double[] without = [.. runs.Select(run => Score(run.WithoutEdgeRead))];
        string area =
            against.Length == 0
                ? ""
                : $"{RocCurve.Area(with, [.. against.Select(run => Score(run.WithEdgeRead))]), 15:F4} {RocCurve.Area(without, [.. against.Select(run => Score(run.WithoutEdgeRead))]), 9:F4}";
        Console.WriteLine(
            $"{name, -28} {runs.Length, 8} {with.DefaultIfEmpty().Average(), 12:F3} {without.DefaultIfEmpty().Average(), 9:F3} {runs.Count(run => IsFirst(run.WithEdgeRead)), 18} {runs.Count(run => IsFirst(run.WithoutEdgeRead)), 9} {area}"
        );
    }

    /// <summary>The score; a half, which is no opinion, where there was not enough data.</summary>
    private static double Score(in FilmPathEstimate estimate) =>
        double.IsNaN(estimate.Score) ? 0.5 : estimate.Score;

    private static bool IsFirst(in FilmPathEstimate estimate) =>
        estimate.Verdict == FilmPathVerdict.AccumulatorFirst;

    /// <param name="First">Whatever was drawn first.</param>
    /// <param name="Upset">The first that moved the dancer; null where none did.</param>
    private sealed record Drawn(FilmPathRun First, FilmPathRun? Upset);
}
