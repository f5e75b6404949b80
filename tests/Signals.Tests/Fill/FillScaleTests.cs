using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Tests.Readings;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.Fill;

public sealed class FillScaleTests
{
    private static readonly FillSettings s_rising = new() { GapAtEmpty = 800, GapAtFull = 3600 };

    [Theory]
    [InlineData(800, 3600)] // the sensor sees the cam come closer as film runs out
    [InlineData(3600, 800)] // or the other way round
    public void Empty_is_0_halfway_is_50_and_full_is_100_for_either_direction_of_the_sensor(
        double empty,
        double full
    )
    {
        // Common practice, no source: full = 100 %, empty = 0 %, 50 % is halfway.
        FillScale scale = new(s_rising with { GapAtEmpty = empty, GapAtFull = full });

        Assert.Equal(0, scale.Next(Gap(empty)).Percent);
        Assert.Equal(50, scale.Next(Gap((empty + full) / 2)).Percent);
        Assert.Equal(100, scale.Next(Gap(full)).Percent);
        Assert.Equal(full > empty, scale.RisesWithGap);
    }

    [Fact]
    public void Fill_past_the_set_points_is_not_clamped()
    {
        FillScale scale = new(s_rising);

        Assert.Equal(110, scale.Next(Gap(3880)).Percent, 1e-12);
        Assert.Equal(-10, scale.Next(Gap(520)).Percent, 1e-12);
    }

    [Fact]
    public void A_gap_the_sensor_cannot_give_is_flagged_and_still_shown()
    {
        FillEstimate fill = new FillScale(s_rising).Next(Gap(4096));

        Assert.Equal(FillFault.OutOfSensorRange, fill.Fault);
        Assert.Equal(117.714, fill.Percent, 1e-3);
    }

    [Theory]
    [InlineData(double.NaN)]
    [InlineData(double.PositiveInfinity)]
    [InlineData(double.NegativeInfinity)]
    public void Without_a_gap_there_is_no_fill(double gap)
    {
        FillEstimate fill = new FillScale(s_rising).Next(Gap(gap));

        Assert.Equal(FillFault.NoGap, fill.Fault);
        Assert.True(double.IsNaN(fill.Percent));
    }

    [Fact]
    public void A_failed_read_gives_no_fill_and_leaves_the_scale_as_it_was()
    {
        FillScale scale = new(s_rising);
        scale.Next(Taught(2000, 1000, 3000));

        FillEstimate failed = scale.Next(Reading.Failed(1));

        Assert.Equal(FillFault.NoGap, failed.Fault);
        Assert.True(double.IsNaN(failed.Percent));
        Assert.Equal(50, scale.PercentAt(2000));
    }

    [Fact]
    public void Nothing_is_allocated_per_reading()
    {
        FillScale scale = new(s_rising with { Cam = [(0, 0), (50, 60), (100, 100)] });
        scale.Next(Gap(1000));
        double sum = 0;
        long allocated = Allocated.Bytes(_ =>
        {
            for (int i = 0; i < 2_000; i++)
                sum += scale.Next(Gap(1000 + (i % 100))).Percent;
        });

        Assert.Equal(0, allocated);
        Assert.True(sum > 0);
    }

    [Fact]
    public void Set_points_from_tags_hold_at_once_and_their_change_is_flagged_once()
    {
        FillScale scale = new(s_rising);

        FillEstimate first = scale.Next(Taught(2000, empty: 1000, full: 3000));
        FillEstimate taught = scale.Next(Taught(2000, empty: 1500, full: 3500));
        FillEstimate after = scale.Next(Taught(2000, empty: 1500, full: 3500));

        Assert.False(first.SetPointsChanged); // the first ones replace nothing
        Assert.Equal(50, first.Percent);
        Assert.True(taught.SetPointsChanged);
        Assert.Equal(25, taught.Percent);
        Assert.Equal((1500, 3500), (taught.GapAtEmpty, taught.GapAtFull));
        Assert.False(after.SetPointsChanged);
    }

    [Theory]
    [InlineData(2000, 2000)]
    [InlineData(2000, 2009)] // closer than ten steps
    [InlineData(double.NaN, 3000)]
    [InlineData(1000, double.PositiveInfinity)]
    public void Set_points_that_cannot_be_used_leave_no_fill_and_no_guess(double empty, double full)
    {
        FillScale scale = new(s_rising);
        scale.Next(Taught(2000, 1000, 3000));

        FillEstimate bad = scale.Next(Taught(2000, empty, full));
        FillEstimate again = scale.Next(Taught(2000, 1000, 3000));

        Assert.Equal(FillFault.BadSetPoints, bad.Fault);
        Assert.True(double.IsNaN(bad.Percent));
        Assert.False(bad.SetPointsChanged);
        Assert.Equal(50, again.Percent);
        Assert.False(again.SetPointsChanged); // they are those that were usable before
    }

    [Fact]
    public void The_configured_set_points_hold_until_a_tag_was_read_for_the_first_time()
    {
        FillScale scale = new(s_rising);

        Assert.Equal(50, scale.Next(Gap(2200)).Percent);
        Assert.True(scale.Next(Taught(2200, 1200, 3200)).SetPointsChanged);
        Assert.Equal(FillFault.BadSetPoints, scale.Next(Gap(2200)).Fault);
    }

    [Fact]
    public void The_target_follows_its_tag_and_keeps_it_over_a_lost_read()
    {
        FillScale scale = new(s_rising with { TargetPercent = 45 });

        Assert.Equal(45, scale.Next(Gap(2000)).TargetPercent);
        Assert.Equal(
            60,
            scale.Next(ReadingMaker.At(1, (Signal.Gap, 2000), (Signal.TargetFill, 60))).TargetPercent
        );
        Assert.Equal(60, scale.Next(Gap(2000)).TargetPercent);
    }

    [Fact]
    public void A_curved_cam_bends_fill_between_its_pairs_and_runs_on_straight_beyond_them()
    {
        FillScale scale = new(s_rising with { Cam = [(0, 0), (50, 60), (100, 100)] });

        Assert.Equal(30, scale.Next(Gap(800 + (0.25 * 2800))).Percent, 1e-12);
        Assert.Equal(60, scale.Next(Gap(2200)).Percent, 1e-12);
        Assert.Equal(108, scale.Next(Gap(800 + (1.1 * 2800))).Percent, 1e-12); // 0.8 % a % beyond
        Assert.Equal(-12, scale.Next(Gap(800 - (0.1 * 2800))).Percent, 1e-12); // 1.2 % a % before
    }

    [Property]
    public bool More_gap_never_means_less_fill_through_any_rising_cam(
        FsCheck.PositiveInt[] steps,
        ushort a,
        ushort b
    )
    {
        List<(double, double)> cam = [(0, -3)];
        double straight = 0;
        double real = -3;
        foreach (FsCheck.PositiveInt step in steps)
            cam.Add((straight += 1 + (step.Get % 7), real += 0.5 + (step.Get % 5)));
        FillScale scale = new(s_rising with { Cam = cam.Count < 2 ? [] : cam });

        double low = scale.Next(Gap(Math.Min(a, b))).Percent;
        double high = scale.Next(Gap(Math.Max(a, b))).Percent;
        return a == b ? low == high : low < high;
    }

    private static Reading Gap(double gap) => ReadingMaker.At(1, (Signal.Gap, gap));

    private static Reading Taught(double gap, double empty, double full) =>
        ReadingMaker.At(1, (Signal.Gap, gap), (Signal.GapAtEmpty, empty), (Signal.GapAtFull, full));
}
