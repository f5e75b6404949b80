using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Signals.Causes;

namespace Dancerwatch.Bench.WarningQuality.Scores;

/// <summary>How one watcher did on faulty machines.</summary>
internal sealed class FaultRow
{
    private readonly List<double> _leads = [];
    private readonly List<double> _shares = [];
    private readonly List<double> _laterShares = [];
    private readonly List<string> _instead = [];

    /// <param name="name">For the table.</param>
    /// <param name="runs">Of faulty machines.</param>
    /// <param name="watcher">Whose warnings.</param>
    public FaultRow(string name, IEnumerable<RunResult> runs, string watcher)
    {
        Name = name;
        foreach (RunResult run in runs)
            Add(run, watcher);
    }

    public string Name { get; }
    public int Runs { get; private set; }

    /// <summary>Runs without a trip, and how many of them were warned of.</summary>
    public int Quiet { get; private set; }
    public int QuietWarned { get; private set; }
    public int Trips { get; private set; }

    /// <summary>Trips that were under way when the machine was started again; they count nowhere else.</summary>
    public int UnderWay { get; private set; }

    /// <summary>Trips with a warning on their side, raised after the fault began and after the last start.</summary>
    public int Fresh { get; private set; }

    /// <summary>Of those, with the cause named first, and among three.</summary>
    public int CauseFirst { get; private set; }
    public int CauseInThree { get; private set; }

    /// <summary>What was named first in its place, and by which condition, commonest first.</summary>
    public string Instead =>
        string.Join(
            ", ",
            _instead
                .CountBy(name => name)
                .OrderByDescending(n => n.Value)
                .ThenBy(n => n.Key)
                .Take(4)
                .Select(n => $"{n.Value} {n.Key}")
        );

    public double Recall => Fresh / (double)Trips;
    public double FirstShare => CauseFirst / (double)Fresh;
    public double InThreeShare => CauseInThree / (double)Fresh;

    /// <summary>From the first warning to the first trip, s.</summary>
    public double MedianLead => Quantile.Median(_leads);
    public double LowLead => Quantile.Of(_leads, 0.1);

    /// <summary>The same as a share of the time since the readings could show the fault, for first trips.</summary>
    public double MedianShare => Quantile.Median(_shares);
    public double LowShare => Quantile.Of(_shares, 0.1);

    /// <summary>For trips after a restart, as a share of the time since that.</summary>
    public double MedianLaterShare => Quantile.Median(_laterShares);

    private void Add(RunResult run, string watcher)
    {
        Runs++;
        if (run.Trips.Count == 0)
        {
            Quiet++;
            if (run.AlertsOf(watcher).Any(a => a.Seconds > run.Fault!.StartSeconds))
                QuietWarned++;
        }
        string cause = run.Fault!.Fault.ToString();
        foreach (Trip trip in run.Trips)
        {
            if (trip.WasUnderWay)
            {
                UnderWay++;
                continue;
            }
            Trips++;
            Watchers.Alert? fresh = run.Fresh(watcher, trip) is { Seconds: > 0 } alert ? alert : null;
            double lead = fresh is { } told ? trip.Seconds - told.Seconds : 0;
            if (trip == run.Trips[0])
            {
                _leads.Add(lead);
                _shares.Add(Math.Min(1, lead / Math.Max(trip.Seconds - run.VisibleSeconds, 0.02)));
            }
            else
                _laterShares.Add(lead / (trip.Seconds - trip.FreshFrom));
            if (fresh is not { } warned)
                continue;
            Fresh++;
            if (Names(warned.Causes.First, cause))
                CauseFirst++;
            else
                _instead.Add($"{warned.Causes.First.Cause} ({warned.Condition})");
            if (
                Names(warned.Causes.First, cause)
                || Names(warned.Causes.Second, cause)
                || Names(warned.Causes.Third, cause)
            )
                CauseInThree++;
        }
    }

    private static bool Names(in RankedCause ranked, string cause) =>
        ranked.Confidence > 0 && ranked.Cause.ToString() == cause;
}
