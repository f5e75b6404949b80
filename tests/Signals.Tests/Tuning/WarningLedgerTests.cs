using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Tuning;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.Signals.Tests.Tuning;

/// <summary>docs/methods/tuning.md, sentence by sentence. Times in seconds.</summary>
public sealed class WarningLedgerTests
{
    private readonly WarningLedger _ledger = new(new TuningRules { HorizonSeconds = 600 });

    [Fact]
    public void A_warning_on_the_side_of_the_trip_foretells_it_and_its_lead_is_counted()
    {
        Raise(100, Side.Full);
        Trip(160, Side.Full);

        Assert.Equal([60], _ledger.Leads);
        Assert.Equal((1, 0, 0), Counts());
    }

    [Fact]
    public void The_first_of_several_gives_the_lead()
    {
        Raise(100, Side.Full);
        Raise(150, Side.Full, Condition.LimitApproach);
        Trip(160, Side.Full);

        Assert.Equal([60], _ledger.Leads);
        Assert.Equal((2, 0, 0), Counts());
    }

    [Fact]
    public void A_warning_on_the_other_side_foretells_nothing_and_cannot_be_told_for_the_trip_stopped_the_machine()
    {
        Raise(100, Side.Empty);
        Trip(160, Side.Full);
        Clear(300);
        _ledger.Settle(Ticks(1_000));

        Assert.Equal([double.NaN], _ledger.Leads);
        Assert.Equal((0, 0, 1), Counts());
    }

    [Fact]
    public void One_raised_before_the_machine_was_started_is_true_but_the_trip_is_not_caught_by_it()
    {
        Raise(100, Side.Full);
        Trip(160, Side.Full, freshFrom: 120);

        Assert.Equal([double.NaN], _ledger.Leads);
        Assert.Equal((1, 0, 0), Counts());
    }

    [Fact]
    public void One_without_a_side_is_true_before_any_trip_but_catches_none()
    {
        Raise(100, Side.None);
        Trip(160, Side.Full);

        Assert.Equal([double.NaN], _ledger.Leads);
        Assert.Equal((1, 0, 0), Counts());
    }

    [Fact]
    public void One_that_cleared_by_itself_is_false_once_the_horizon_is_over_and_not_before()
    {
        Raise(100, Side.Full);
        Clear(200);

        _ledger.Settle(Ticks(800));
        Assert.Equal((0, 0, 0), Counts());
        _ledger.Settle(Ticks(801));
        Assert.Equal((0, 1, 0), Counts());
    }

    [Fact]
    public void A_trip_within_the_horizon_makes_one_true_that_had_cleared()
    {
        Raise(100, Side.Full);
        Clear(200);
        Trip(790, Side.Full);

        Assert.Equal([690], _ledger.Leads);
        Assert.Equal((1, 0, 0), Counts());
    }

    [Fact]
    public void Of_one_that_was_raised_while_the_machine_was_stopped_nothing_can_be_told()
    {
        Raise(100, Side.Full);
        _ledger.Handle();
        Clear(200);
        _ledger.Settle(Ticks(1_000));

        Assert.Equal((0, 0, 1), Counts());
    }

    [Fact]
    public void One_that_turns_to_the_other_side_is_a_warning_of_its_own()
    {
        Raise(100, Side.Full);
        Note(ConditionState.Changed, 150, Side.Empty);
        Trip(160, Side.Empty);
        _ledger.Settle(Ticks(1_000));

        Assert.Equal([10], _ledger.Leads);
        Assert.Equal((1, 1, 0), Counts());
    }

    [Fact]
    public void A_roll_that_ends_and_readings_that_fail_are_told_for_themselves()
    {
        Raise(100, Side.Full, Condition.RollEnding);
        Raise(100, Side.None, Condition.DataLost);
        Trip(160, Side.Full);
        _ledger.Lose();

        Assert.Equal([double.NaN], _ledger.Leads);
        Assert.Equal((0, 0, 0), Counts());
    }

    [Fact]
    public void Where_the_readings_end_nothing_can_be_told_of_what_is_pending()
    {
        Raise(100, Side.Full);
        Raise(100, Side.Full, Condition.LimitApproach);
        Clear(110);
        _ledger.Lose();

        Assert.Equal((0, 0, 2), Counts());
    }

    private (int, int, int) Counts() => (_ledger.True, _ledger.False, _ledger.Unsettled);

    private void Trip(double seconds, Side side, double freshFrom = 0) =>
        _ledger.Trip(side, Ticks(seconds), Ticks(freshFrom), counts: true);

    private void Raise(double seconds, Side side, Condition condition = Condition.MarginLow) =>
        Note(ConditionState.Raised, seconds, side, condition);

    private void Clear(double seconds) => Note(ConditionState.Cleared, seconds, Side.None);

    private void Note(
        ConditionState state,
        double seconds,
        Side side,
        Condition condition = Condition.MarginLow
    ) =>
        _ledger.Note([
            new ConditionTransition
            {
                Ticks = Ticks(seconds),
                OnsetTicks = Ticks(seconds),
                Step = 0,
                Condition = condition,
                State = state,
                Priority = Priority.Medium,
                Side = side,
                FillPercent = 50,
                MarginPercent = 5,
                SecondsToLimit = double.NaN,
                Probability = 0,
                FrequencyHz = double.NaN,
                AmplitudePercent = double.NaN,
                Causes = default,
                Evidence = "",
                Check = "",
            },
        ]);

    private static long Ticks(double seconds) => (long)(seconds * TimeSpan.TicksPerSecond);
}
