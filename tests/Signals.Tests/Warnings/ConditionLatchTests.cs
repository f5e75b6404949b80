using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Warnings;
using FsCheck;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.Warnings;

public sealed class ConditionLatchTests
{
    private const double Step = 0.1;
    private static readonly ConditionSettings s_settings = new(
        OnDelaySeconds: 2,
        OffDelaySeconds: 5,
        Limit: 10,
        Deadband: 3
    );

    [Fact]
    public void It_is_raised_after_its_on_delay_and_not_before()
    {
        var latch = new ConditionLatch(s_settings);
        for (int i = 0; i < 20; i++)
            Assert.Null(Give(latch, i, excess: 1));
        Assert.Equal(ConditionState.Raised, Give(latch, 20, excess: 1));
    }

    [Fact]
    public void One_reading_of_relief_starts_the_on_delay_again()
    {
        var latch = new ConditionLatch(s_settings);
        for (int i = 0; i < 39; i++)
            Assert.Null(Give(latch, i, excess: i == 19 ? -1 : 1));
    }

    [Fact]
    public void Within_the_deadband_it_is_neither_raised_nor_cleared()
    {
        var latch = new ConditionLatch(s_settings);
        for (int i = 0; i <= 20; i++)
            Give(latch, i, excess: 1);
        for (int i = 21; i < 500; i++)
            Assert.Null(Give(latch, i, excess: -2.9));
        Assert.True(latch.IsRaised);
    }

    [Fact]
    public void An_hour_without_readings_proves_nothing()
    {
        var latch = new ConditionLatch(s_settings);
        Give(latch, 0, excess: 1);
        Assert.Null(
            latch.Next(
                TimeSpan.TicksPerHour,
                3_600,
                new ConditionSign(1, Side.Full, Priority.Low),
                Cause.Unknown
            )
        );
    }

    [Fact]
    public void Where_trips_clear_it_in_a_row_it_is_not_raised_a_third_time_within_a_minute()
    {
        var latch = new ConditionLatch(s_settings);
        List<int> raises = [];
        for (int i = 0; i < 6_000; i++)
        {
            if (Give(latch, i, excess: 1) == ConditionState.Raised)
                raises.Add(i);
            if (i % 30 == 0)
                latch.End();
        }

        Assert.InRange(raises.Count, 15, 20); // two a minute, ten minutes
        Assert.All(
            raises.Zip(raises.Skip(2)),
            three => Assert.True((three.Second - three.First) * Step >= ConditionLatch.ChatterSeconds)
        );
    }

    [Fact]
    public void A_wavering_cause_is_told_ever_more_seldom()
    {
        var latch = new ConditionLatch(s_settings);
        int changes = 0;
        for (int i = 0; i < 36_000; i++)
        {
            Cause cause = i / 150 % 2 == 0 ? Cause.BrakeDrag : Cause.FilmSnag;
            var sign = new ConditionSign(1, Side.Empty, Priority.Medium);
            changes +=
                latch.Next(i * TimeSpan.TicksPerSecond / 10, Step, sign, cause) == ConditionState.Changed
                    ? 1
                    : 0;
        }
        Assert.InRange(changes, 1, 2); // 15 s each: told after 10 s the first time, then the hold is 20 s
    }

    [Fact]
    public void A_condition_switched_off_is_never_raised()
    {
        var latch = new ConditionLatch(s_settings with { Enabled = false });
        for (int i = 0; i < 1_000; i++)
            Assert.Null(Give(latch, i, excess: 1));
    }

    [Property]
    public bool No_walk_of_evidence_raises_or_clears_faster_than_the_delays(int seed)
    {
        var latch = new ConditionLatch(s_settings);
        var random = new Random(seed);
        double excess = 0;
        int last = int.MinValue / 2;
        for (int i = 0; i < 5_000; i++)
        {
            excess = 0.98 * excess + 2 * (random.NextDouble() - 0.5);
            ConditionState? state = Give(latch, i, random.Next(50) == 0 ? double.NaN : excess);
            if (state is null or ConditionState.Changed)
                continue;
            double since = (i - last) * Step;
            double least =
                state == ConditionState.Raised ? s_settings.OnDelaySeconds : s_settings.OffDelaySeconds;
            if (since < least - 1e-9)
                return false;
            last = i;
        }
        return true;
    }

    [Fact]
    public void The_other_side_is_told_after_the_on_delay_and_then_no_oftener_than_once_a_minute()
    {
        var latch = new ConditionLatch(s_settings);
        int i = 0;
        for (; !latch.IsRaised; i++)
            GiveSide(latch, i, Side.Full);
        int turned = i;
        while (latch.Side == Side.Full)
            GiveSide(latch, i++, Side.Empty);
        Assert.Equal(s_settings.OnDelaySeconds, (i - 1 - turned) * Step, Step / 2);
        Assert.Equal(1, latch.Step);

        // From now on the sides take turns, each as long as it needs to be told.
        List<double> waits = [];
        for (int told = 0; told < 5; told++)
        {
            (turned, Side before) = (i, latch.Side);
            while (latch.Side == before)
                GiveSide(latch, i++, before == Side.Full ? Side.Empty : Side.Full);
            waits.Add((i - 1 - turned) * Step);
        }
        Assert.Equal([60, 120, 240, 480, 600], waits.Select(w => Math.Round(w)));
    }

    [Fact]
    public void A_side_that_wavers_faster_than_the_on_delay_is_not_told()
    {
        var latch = new ConditionLatch(s_settings);
        for (int i = 0; i < 36_000; i++)
            GiveSide(latch, i, i / 15 % 2 == 0 ? Side.Full : Side.Empty);

        Assert.Equal((true, 0), (latch.IsRaised, latch.Step));
    }

    [Fact]
    public void No_side_is_no_other_side()
    {
        var latch = new ConditionLatch(s_settings);
        for (int i = 0; i < 3_000; i++)
            GiveSide(latch, i, i < 30 ? Side.Full : Side.None);

        Assert.Equal(Side.Full, latch.Side);
    }

    [Fact]
    public void Ended_it_is_clear_at_once_and_raised_anew_only_after_its_whole_on_delay()
    {
        var latch = new ConditionLatch(s_settings);
        for (int i = 0; i <= 20; i++)
            Give(latch, i, excess: 1);
        Assert.True(latch.End());
        Assert.Equal((false, 1), (latch.IsRaised, latch.Step));
        Assert.False(latch.End());

        for (int i = 21; i < 41; i++)
            Assert.Null(Give(latch, i, excess: 1));
        Assert.Equal(ConditionState.Raised, Give(latch, 41, excess: 1));
        Assert.Equal(0, latch.Step);
    }

    [Fact]
    public void Ended_while_its_on_delay_runs_it_starts_to_count_again()
    {
        var latch = new ConditionLatch(s_settings);
        for (int i = 0; i < 15; i++)
            Give(latch, i, excess: 1);
        Assert.False(latch.End());

        for (int i = 15; i < 35; i++)
            Assert.Null(Give(latch, i, excess: 1));
    }

    private static void GiveSide(ConditionLatch latch, int i, Side side) =>
        latch.Next(
            i * TimeSpan.TicksPerSecond / 10,
            Step,
            new ConditionSign(1, side, Priority.Low),
            Cause.Unknown
        );

    private static ConditionState? Give(ConditionLatch latch, int i, double excess) =>
        latch.Next(
            i * TimeSpan.TicksPerSecond / 10,
            Step,
            new ConditionSign(excess, Side.Full, Priority.Low),
            Cause.Unknown
        );
}
