using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Tests.Watching;

public sealed class PastWarningsTests
{
    private readonly PastWarnings _past = new();

    [Fact]
    public void A_warning_that_is_over_keeps_what_it_was_raised_for_and_its_highest_priority()
    {
        Note(ConditionState.Raised, 1_000, Priority.High, "Fill rose.");
        Note(ConditionState.Changed, 2_000, Priority.Medium, "Fill rose further.");
        Assert.Empty(_past.Rows());

        Note(ConditionState.Cleared, 3_000, Priority.Low, "The machine tripped.");

        PastWarning over = Assert.Single(_past.Rows());
        Assert.Equal((1_000, 3_000), (over.SinceMilliseconds, over.ClearedMilliseconds));
        Assert.Equal((Priority.High, "Fill rose further."), (over.Last.Priority, over.Last.Evidence));
    }

    [Fact]
    public void The_latest_come_first_and_the_oldest_go()
    {
        for (int i = 0; i < PastWarnings.Most + 3; i++)
        {
            Note(ConditionState.Raised, i, Priority.Low, $"{i}");
            Note(ConditionState.Cleared, i, Priority.Low, "");
        }

        IReadOnlyList<PastWarning> rows = _past.Rows();
        Assert.Equal(PastWarnings.Most, rows.Count);
        Assert.Equal(("10", "3"), (rows[0].Last.Evidence, rows[^1].Last.Evidence));
    }

    [Fact]
    public void One_that_was_raised_before_a_restart_is_told_by_what_cleared_it()
    {
        Note(ConditionState.Cleared, 3_000, Priority.Low, "The machine runs level.");

        Assert.Equal("The machine runs level.", Assert.Single(_past.Rows()).Last.Evidence);
    }

    private void Note(ConditionState state, long milliseconds, Priority priority, string evidence) =>
        _past.Note(
            new MachineEvent(
                Machines.Tea1,
                state == ConditionState.Raised ? _onset = milliseconds : _onset,
                milliseconds,
                Machines.LimitApproach with
                {
                    State = state,
                    Priority = priority,
                    Evidence = evidence,
                }
            )
        );

    private long _onset;
}
