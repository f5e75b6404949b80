using Dancerwatch.EdgeAgent.Waiting;

namespace Dancerwatch.EdgeAgent.Tests.Waiting;

public sealed class SleepLeadTests
{
    private const long Period = 20_000_000;
    private readonly SleepLead _lead = new();

    [Theory]
    [InlineData(5_000)]
    [InlineData(60_000)]
    [InlineData(200_000)]
    public void Sleeps_end_so_much_too_early_as_they_are_used_to_be_late(long late)
    {
        long due = Sleep(2_000, late);

        long wake = _lead.WakeFor(due, due - Period);
        Assert.InRange(due - wake, late - 500, late + 10_000);
    }

    [Fact]
    public void A_sleep_that_is_late_for_another_reason_moves_the_lead_little()
    {
        long due = Sleep(2_000, late: 50_000);
        long before = due - _lead.WakeFor(due, due - Period);

        _lead.Learn(due - before, due, due + 9_000_000);

        due += Period;
        Assert.InRange(due - _lead.WakeFor(due, due - Period), before, before + 10_000);
    }

    [Fact]
    public void Awake_for_a_deadline_no_sleep_is_begun_before_it()
    {
        long due = Sleep(100, late: 50_000);
        long wake = _lead.WakeFor(due, due - Period);
        _lead.Learn(wake, due, wake + 1_000);

        Assert.True(_lead.WakeFor(due, wake + 1_000) <= wake + 1_000);
    }

    [Fact]
    public void Of_the_time_a_thirty_second_part_at_most_is_waited_awake_however_many_deadlines_there_are()
    {
        const long Apart = 700_000;
        long awake = 0;
        long due = 0;
        for (int i = 0; i < 10_000; i++)
        {
            due += Apart;
            long wake = _lead.WakeFor(due, due - Apart + 1);
            // One sleep of ten takes long to end: the lead is long, and mostly in vain.
            long woken = wake + (i % 10 == 0 ? 240_000 : 10_000);
            _lead.Learn(wake, due, woken);
            awake += Math.Max(0, due - woken);
        }

        Assert.InRange(awake, 1, (due / 32) + 250_000);
    }

    /// <summary>Sleeps until deadlines one after the other, each sleep as late as the others.</summary>
    /// <returns>The deadline after the last.</returns>
    private long Sleep(int times, long late)
    {
        long due = Period;
        for (int i = 0; i < times; i++, due += Period)
        {
            long wake = _lead.WakeFor(due, due - Period);
            _lead.Learn(wake, due, wake + late);
        }
        return due;
    }
}
