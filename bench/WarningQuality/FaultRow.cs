using Dancerwatch.EndToEnd.Tests.Signals;
using Dancerwatch.Signals.Causes;

namespace Dancerwatch.Bench.WarningQuality;

/// <summary>What became of one fault on several machines, each to its first trip.</summary>
internal sealed class FaultRow
{
    private readonly double[] _leads;

    public FaultRow(Scenario scenario, IReadOnlyList<ScenarioRun> runs)
    {
        Name = scenario.Name;
        ScenarioRun[] tripped = [.. runs.Where(run => !double.IsNaN(run.TripSeconds))];
        ScenarioRun[] warned = [.. tripped.Where(run => run.FreshRightSide is not null)];
        _leads =
        [
            .. warned.Select(run => run.TripSeconds - ScenarioRun.Seconds(run.FreshRightSide!)).Order(),
        ];
        string cause = scenario.Fault.ToString()!;
        Trips = tripped.Length;
        CauseFirst = warned.Count(run => IsNamed(run.FreshRightSide!.Causes.First, cause));
        CauseInThree = warned.Count(run => IsAmongThree(run.FreshRightSide!.Causes, cause));
        FalseBefore = runs.Sum(run =>
            run.Raised.Count(raised => ScenarioRun.Seconds(raised) < ScenarioRun.FaultSeconds)
        );
    }

    public string Name { get; }
    public int Trips { get; }

    /// <summary>Trips with a warning on their side, raised after the fault began.</summary>
    public int Fresh => _leads.Length;

    /// <summary>From that warning to the trip, s; NaN where there was none.</summary>
    public double MedianLead => _leads.Length == 0 ? double.NaN : _leads[_leads.Length / 2];
    public double ShortestLead => _leads.Length == 0 ? double.NaN : _leads[0];

    /// <summary>That warning named the cause first, and among three.</summary>
    public int CauseFirst { get; }
    public int CauseInThree { get; }

    /// <summary>Warnings before the fault began.</summary>
    public int FalseBefore { get; }

    private static bool IsAmongThree(in CauseRanking ranking, string cause) =>
        IsNamed(ranking.First, cause) || IsNamed(ranking.Second, cause) || IsNamed(ranking.Third, cause);

    private static bool IsNamed(in RankedCause ranked, string cause) =>
        ranked.Confidence > 0 && ranked.Cause.ToString() == cause;
}
