using Dancerwatch.EdgeAgent.Polling;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Polling;

public sealed class PollScheduleTests
{
    [Theory]
    [InlineData(1000, 1020, 0)] // done as soon as begun
    [InlineData(1019, 1020, 0)]
    [InlineData(1020, 1020, 0)] // the next one is due just now: not missed
    [InlineData(1021, 1040, 1)]
    [InlineData(1040, 1040, 1)]
    [InlineData(1041, 1060, 2)]
    [InlineData(900, 1020, 0)] // begun early is no reason to poll twice
    public void The_next_deadline_is_the_first_not_yet_passed_and_those_before_it_are_missed(
        long now,
        long due,
        long missed
    )
    {
        PollSchedule schedule = new(start: 1000, period: 20);

        Assert.Equal(missed, schedule.Advance(now));
        Assert.Equal(due, schedule.Due);
    }

    [Property]
    public Property Deadlines_never_drift_and_each_is_either_waited_for_or_missed() =>
        Prop.ForAll(
            Gen.Choose(0, 1_000_000).NonEmptyListOf().ToArbitrary(),
            Gen.Choose(1, 200_000).ToArbitrary(),
            (durations, period) =>
            {
                PollSchedule schedule = new(start: 7, period);
                long missed = 0;
                long now = 7;
                foreach (int duration in durations)
                {
                    now = Math.Max(now, schedule.Due) + duration;
                    missed += schedule.Advance(now);
                }
                return schedule.Due >= now && schedule.Due - 7 == (durations.Count + missed) * period;
            }
        );

    [Theory]
    [InlineData(1000, 3, 1023)] // 1003 is too near
    [InlineData(1000, 10, 1010)]
    [InlineData(1000, 13, 1013)]
    [InlineData(1005, 0, 1020)]
    [InlineData(1005, 43, 1023)] // a phase longer than the period goes round
    [InlineData(0, 15, 15)]
    public void After_the_first_poll_deadlines_lie_at_the_phase_at_least_half_a_period_on(
        long start,
        long phase,
        long second
    )
    {
        PollSchedule schedule = new(start, period: 20, phase);

        Assert.Equal(start, schedule.Due);
        Assert.Equal(0, schedule.Advance(start));
        Assert.Equal(second, schedule.Due);
        Assert.Equal(0, schedule.Advance(second));
        Assert.Equal(second + 20, schedule.Due);
        Assert.Equal(2, schedule.Advance(second + 70));
        Assert.Equal(second + 80, schedule.Due);
    }
}
