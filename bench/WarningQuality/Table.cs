using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Bench.WarningQuality.Scenarios;
using Dancerwatch.Bench.WarningQuality.Scores;
using Dancerwatch.Bench.WarningQuality.Watchers;

namespace Dancerwatch.Bench.WarningQuality;

/// <summary>Puts results in words and numbers.</summary>
internal sealed class Table(TextWriter to, IReadOnlyList<RunResult> results, IReadOnlyList<WatcherKind> kinds)
{
    private readonly RunResult[] _faulty = [.. results.Where(r => r.Fault is not null)];
    private readonly RunResult[] _healthy = [.. results.Where(r => r.Fault is null)];

    public void Print(int firstSeed, int machines)
    {
        double hours = results.Sum(r => r.EndSeconds) / 3600;
        to.WriteLine(
            $"seeds {firstSeed} to {firstSeed + machines - 1}; {results.Count} runs, {hours:F0} machine-hours"
        );
        foreach (Feed feed in new[] { Feed.All, Feed.Two })
        {
            string name = WatcherKind.NameOf(WatcherKind.Ours, feed);
            to.WriteLine();
            to.WriteLine($"## Dancerwatch, {Text(feed)}");
            Faults(name);
            Healthy(name);
            Chance(name);
        }
        Summary();
    }

    private void Faults(string watcher)
    {
        to.WriteLine();
        to.WriteLine(FaultHead);
        foreach (Scenario scenario in Ensemble.Faults)
            Fault(new FaultRow(scenario.Name, _faulty.Where(r => r.Scenario == scenario), watcher));
        Fault(
            new FaultRow("all developing", _faulty.Where(r => r.Scenario.Pace == Pace.Developing), watcher)
        );
        Fault(new FaultRow("all sudden", _faulty.Where(r => r.Scenario.Pace == Pace.Sudden), watcher));
        Fault(new FaultRow("all", _faulty, watcher));
    }

    private const string FaultHead =
        "fault                runs untripped/warned at once trips fresh recall | lead s: median   p10 | of possible: median  p10 | later | cause 1st  in 3  named first instead";

    private void Fault(FaultRow row)
    {
        if (row.Runs == 0)
            return;
        to.WriteLine(
            $"{row.Name, -20} {row.Runs, 4} {row.Quiet, 9}/{row.QuietWarned, -6} {row.UnderWay, 7} {row.Trips, 5} {row.Fresh, 5} {100 * row.Recall, 5:F0}% |"
                + $" {row.MedianLead, 14:F1} {row.LowLead, 5:F1} | {row.MedianShare, 19:P0} {row.LowShare, 4:P0} | {row.MedianLaterShare, 5:P0} |"
                + $" {100 * row.FirstShare, 8:F0}% {100 * row.InThreeShare, 4:F0}%  {row.Instead}"
        );
    }

    private void Healthy(string watcher)
    {
        to.WriteLine();
        to.WriteLine("healthy                 hours  false  per 100 h  chatter");
        foreach (Scenario scenario in Ensemble.Healthy)
            Healthy(scenario.Name, [.. _healthy.Where(r => r.Scenario == scenario)], watcher);
        Healthy("faulty, while well", _faulty, watcher);
        Healthy("all", results, watcher);
        foreach (RunResult run in results)
        {
            foreach (Alert alert in run.False(watcher))
                Note("false", run, alert);
            foreach (Alert alert in Chatter.Of(run, watcher))
                Note("chatter", run, alert);
        }
    }

    private void Note(string what, RunResult run, Alert alert) =>
        to.WriteLine(
            $"  {what}: {run.Scenario.Name}, seed {run.Seed}, {alert.Seconds:F0} s: {alert.Condition}, {alert.Side} side, {alert.Causes.First.Cause}"
        );

    private void Healthy(string name, IReadOnlyCollection<RunResult> runs, string watcher)
    {
        if (runs.Count == 0)
            return;
        double hours = runs.Sum(r => r.HealthySeconds) / 3600;
        int wrong = runs.Sum(r => r.False(watcher).Count());
        int chatter = runs.Sum(r => Chatter.Of(r, watcher).Count());
        to.WriteLine($"{name, -22} {hours, 6:F1} {wrong, 6} {100 * wrong / hours, 10:F1} {chatter, 8}");
    }

    private void Chance(string watcher)
    {
        Reliability reliability = new(results, watcher);
        double[] turnErrors = [.. results.SelectMany(r => r.Of(watcher).TurnErrors).Select(Math.Abs)];
        to.WriteLine();
        to.WriteLine(
            $"roll turn's rate: median error {Quantile.Median(turnErrors):P2}, 90th percentile {Quantile.Of(turnErrors, 0.9):P2}, {turnErrors.Length} looks"
        );
        to.WriteLine(
            $"trip within 5 min: Brier score {reliability.Brier:F4} ({reliability.BrierOfMean:F4} for the mean rate), {reliability.Cases} cases"
        );
        to.WriteLine("foretold   came   cases");
        foreach ((int cases, double foretold, double came) in reliability.Rows)
            to.WriteLine($"{foretold, 8:P0} {came, 6:P0} {cases, 7}");
    }

    private void Summary()
    {
        to.WriteLine();
        to.WriteLine(
            "## Side by side: operating curves as one sensitivity moves (1: as shipped, or as commonly set up)"
        );
        to.WriteLine(
            "way              feed sensitivity  recall  false per 100 h  lead s: developing  sudden  chatter"
        );
        foreach (WatcherKind kind in kinds)
        {
            FaultRow all = new("", _faulty, kind.Name);
            FaultRow developing = new("", _faulty.Where(r => r.Scenario.Pace == Pace.Developing), kind.Name);
            FaultRow sudden = new("", _faulty.Where(r => r.Scenario.Pace == Pace.Sudden), kind.Name);
            double hours = results.Sum(r => r.HealthySeconds) / 3600;
            int wrong = results.Sum(r => r.False(kind.Name).Count());
            int chatter = results.Sum(r => Chatter.Of(r, kind.Name).Count());
            to.WriteLine(
                $"{kind.Way, -16} {kind.Feed, -4} {kind.Sensitivity, 11:F2} {100 * all.Recall, 6:F1}% {100 * wrong / hours, 16:F1} {developing.MedianLead, 19:F1} {sudden.MedianLead, 7:F1} {chatter, 8}"
            );
        }
    }

    private static string Text(Feed feed) => feed == Feed.All ? "all signals" : "gap and unwind speed only";
}
