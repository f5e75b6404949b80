using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.Bench.WarningQuality.Scores;

/// <summary>What a person gets who is told of everything that is raised: the measures of ISA-18.2 and EEMUA 191, from memory.</summary>
/// <param name="runs">Each one machine.</param>
/// <param name="watcher">Who warned.</param>
internal sealed class AlarmLoad(IReadOnlyCollection<RunResult> runs, string watcher)
{
    private const double PeakSeconds = 600;

    /// <summary>A person can't do anything about what clears sooner.</summary>
    private const double FleetingSeconds = 10;

    public double Hours { get; } = runs.Sum(run => run.EndSeconds) / 3600;

    public int Raised { get; } = Count(runs, watcher, ConditionState.Raised);
    public int Changed { get; } = Count(runs, watcher, ConditionState.Changed);

    public double RaisedAnHour => Raised / Hours;

    /// <summary>Most that one machine raised within ten minutes.</summary>
    public int Peak { get; } = runs.Select(run => PeakOf(run, watcher)).DefaultIfEmpty().Max();

    /// <summary>Share of ten-minute spans of a machine, begun anew with each run, in which more than so many were raised.</summary>
    public double SpansAbove(int alarms)
    {
        int spans = runs.Sum(run => (int)Math.Ceiling(run.EndSeconds / PeakSeconds));
        int above = runs.Sum(run =>
            Raises(run, watcher)
                .GroupBy(told => (int)(told.Seconds / PeakSeconds))
                .Count(span => span.Count() > alarms)
        );
        return (double)above / spans;
    }

    /// <summary>Share of what was raised that had this priority then.</summary>
    public double Share(Priority priority) =>
        (double)runs.Sum(run => Raises(run, watcher).Count(told => told.Told.Priority == priority)) / Raised;

    public int Chattering => runs.Sum(run => Chatter.Of(run, watcher).Count());

    /// <summary>Raised, and cleared within ten seconds other than by a trip.</summary>
    public int Fleeting =>
        runs.Sum(run =>
            Standing(run, watcher)
                .Count(stood =>
                    stood.To - stood.From < FleetingSeconds
                    && !run.Trips.Exists(trip => Math.Abs(trip.Seconds - stood.To) < 1)
                )
        );

    /// <summary>Longest that one stood, s.</summary>
    public double LongestSeconds =>
        runs.SelectMany(run => Standing(run, watcher))
            .Select(stood => stood.To - stood.From)
            .DefaultIfEmpty()
            .Max();

    private static int Count(IEnumerable<RunResult> runs, string watcher, ConditionState state) =>
        runs.Sum(run => run.Of(watcher).Told.Count(told => told.Told.State == state));

    private static IEnumerable<(double Seconds, ConditionTransition Told)> Raises(
        RunResult run,
        string watcher
    ) => run.Of(watcher).Told.Where(told => told.Told.State == ConditionState.Raised);

    private static int PeakOf(RunResult run, string watcher)
    {
        double[] raised = [.. Raises(run, watcher).Select(told => told.Seconds)];
        int most = 0;
        for (int first = 0, last = 0; last < raised.Length; last++)
        {
            while (raised[last] - raised[first] > PeakSeconds)
                first++;
            most = Math.Max(most, last - first + 1);
        }
        return most;
    }

    /// <summary>From when to when each stood; what stands at the end stood till then.</summary>
    private static IEnumerable<(double From, double To)> Standing(RunResult run, string watcher)
    {
        Dictionary<Condition, double> since = [];
        foreach ((double seconds, ConditionTransition told) in run.Of(watcher).Told)
        {
            if (told.State == ConditionState.Raised)
                since[told.Condition] = seconds;
            else if (told.State == ConditionState.Cleared && since.Remove(told.Condition, out double from))
                yield return (from, seconds);
        }
        foreach (double from in since.Values)
            yield return (from, run.EndSeconds);
    }
}
