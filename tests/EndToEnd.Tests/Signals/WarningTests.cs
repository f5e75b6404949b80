using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EndToEnd.Tests.Signals;

/// <summary>
/// The assessor against virtual machines it was not tuned on: tuning used seeds below 1,000, these lie above 10,000.
/// </summary>
public sealed class WarningTests
{
    private const int FirstSeed = 40_001;
    private const int Machines = 3;

    public static TheoryData<string> Faults => [.. Scenario.Faults.Select(s => s.Name)];
    public static TheoryData<string> Healthy => [.. Scenario.Healthy.Select(s => s.Name)];

    [Theory]
    [MemberData(nameof(Faults))]
    public void A_trip_is_warned_of_freshly_on_its_side_and_the_cause_is_among_the_first_three(string name)
    {
        Scenario scenario = Scenario.Faults.Single(s => s.Name == name);
        List<ScenarioRun> runs = Run(scenario);
        List<ScenarioRun> trips = [.. runs.Where(r => !double.IsNaN(r.TripSeconds))];

        Assert.All(
            runs,
            r => Assert.DoesNotContain(r.Raised, t => ScenarioRun.Seconds(t) < ScenarioRun.FaultSeconds)
        );
        Assert.All(trips, r => Assert.NotNull(r.FreshRightSide));
        int named = trips.Count(r => Names(r.FreshRightSide!.Causes, scenario.Fault.ToString()!));
        Assert.True(
            named >= trips.Count - 1,
            $"{named} of {trips.Count} trips have the cause among the first three"
        );
    }

    [Theory]
    [MemberData(nameof(Healthy))]
    public void A_healthy_machine_raises_nothing(string name)
    {
        Scenario scenario = Scenario.Healthy.Single(s => s.Name == name);
        Assert.All(Run(scenario), r => Assert.DoesNotContain(r.Raised, IsFalse));
    }

    [Theory]
    [MemberData(nameof(Healthy))]
    public void A_healthy_machine_of_which_only_gap_and_unwind_speed_are_read_raises_nothing(string name)
    {
        Scenario scenario = Scenario.Healthy.Single(s => s.Name == name);
        Assert.All(Run(scenario, onlyTwoSignals: true), r => Assert.DoesNotContain(r.Raised, IsFalse));
    }

    [Fact]
    public void Enough_of_the_faults_trip_for_the_tests_to_mean_something()
    {
        int tripping = Scenario.Faults.Count(s => Run(s).Any(r => !double.IsNaN(r.TripSeconds)));
        Assert.True(tripping >= 10, $"{tripping} of {Scenario.Faults.Count} faults tripped a machine");
    }

    [Fact]
    public void Every_warning_says_its_evidence_and_what_to_look_at()
    {
        IEnumerable<ConditionTransition> told = Scenario
            .Faults.SelectMany(s => Run(s))
            .SelectMany(r => r.Raised);
        Assert.NotEmpty(told);
        Assert.All(
            told,
            t =>
            {
                Assert.NotEqual("", t.Evidence);
                Assert.NotEqual("", t.Check);
                Assert.DoesNotContain("NaN", t.Evidence, StringComparison.Ordinal);
                Assert.DoesNotContain("∞", t.Evidence, StringComparison.Ordinal);
            }
        );
    }

    /// <summary>A roll that ends is no fault, but true.</summary>
    private static bool IsFalse(ConditionTransition t) => t.Condition != Condition.RollEnding;

    private static readonly Dictionary<(string, bool), List<ScenarioRun>> s_runs = [];

    private static List<ScenarioRun> Run(Scenario scenario, bool onlyTwoSignals = false)
    {
        if (s_runs.TryGetValue((scenario.Name, onlyTwoSignals), out List<ScenarioRun>? runs))
            return runs;
        runs =
        [
            .. Enumerable
                .Range(FirstSeed, Machines)
                .Select(s => new ScenarioRun(scenario, s, onlyTwoSignals).ToEnd()),
        ];
        s_runs.Add((scenario.Name, onlyTwoSignals), runs);
        return runs;
    }

    private static bool Names(in CauseRanking causes, string cause) =>
        causes.First.Cause.ToString() == cause
        || (causes.Second.Cause.ToString() == cause && causes.Second.Confidence > 0)
        || (causes.Third.Cause.ToString() == cause && causes.Third.Confidence > 0);
}
