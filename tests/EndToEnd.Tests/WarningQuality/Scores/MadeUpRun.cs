using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Bench.WarningQuality.Scenarios;
using Dancerwatch.Bench.WarningQuality.Watchers;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Warnings;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.EndToEnd.Tests.WarningQuality.Scores;

/// <summary>A run that nobody ran: trips and warnings as written down.</summary>
internal static class MadeUpRun
{
    public const string Watcher = "made up";

    public static RunResult Of(
        double endSeconds,
        double[] trips,
        (double Seconds, double Probability)[]? foretold = null,
        (double Seconds, string Condition)[]? warned = null,
        (double Seconds, ConditionState State, Priority Priority)[]? told = null
    )
    {
        var run = new RunResult(new Scenario("made up"), 1, MachineParameters.Random(1), fault: null)
        {
            EndSeconds = endSeconds,
        };
        run.Trips.AddRange(trips.Select(t => new Trip(t, Side.Full, FreshFrom: 0, WasUnderWay: false)));
        var book = new AlertBook(Watcher);
        book.Probabilities.AddRange(foretold ?? []);
        foreach ((double seconds, string condition) in warned ?? [])
            book.Note(new Alert(seconds, condition, Side.Full));
        foreach ((double seconds, ConditionState state, Priority priority) in told ?? [])
            book.Note(Transition(state, priority), seconds, isTrue: false);
        run.Add(new Written(book));
        return run;
    }

    private static ConditionTransition Transition(ConditionState state, Priority priority) =>
        new()
        {
            Ticks = 0,
            OnsetTicks = 0,
            Step = 0,
            Condition = Condition.TripLikely,
            State = state,
            Priority = priority,
            Side = Side.Full,
            FillPercent = 80,
            MarginPercent = 10,
            SecondsToLimit = double.NaN,
            Probability = 0.6,
            FrequencyHz = double.NaN,
            AmplitudePercent = double.NaN,
            Causes = default,
            Evidence = "",
            Check = "",
        };

    private sealed class Written(AlertBook book) : IWatcher
    {
        public Feed Feed => default;
        public IReadOnlyList<AlertBook> Books => [book];

        public void Take(in Reading reading, in FilmTruth truth) { }
    }
}
