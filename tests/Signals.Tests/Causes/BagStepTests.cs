using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Forecast;

namespace Dancerwatch.Signals.Tests.Causes;

/// <summary>Blocks of 12 m/min at 50 % fill; 1.5 m stored, so that 1 m/min is 1.11 %/s.</summary>
public sealed class BagStepTests
{
    private const double PercentPerMeterPerMinute = 100 * 1000.0 / 60 / 1500;
    private readonly BagStep _bag = new();

    [Theory]
    [InlineData(13)]
    [InlineData(12.2)]
    [InlineData(11)]
    public void An_unwind_that_steps_while_fill_stands_feeds_another_bag_and_is_told_once(double unwind)
    {
        Assert.Equal(0, Told(60, 12));

        Assert.Equal(1, Told(60, unwind));
    }

    [Theory]
    [InlineData(13)]
    [InlineData(12.4)]
    [InlineData(11)]
    public void A_loop_steps_only_for_a_fill_that_is_read_off_target_and_then_bags_are_the_same(double unwind)
    {
        Assert.Equal(0, Told(60, 12));

        // The gap drifts: a loop of 0.4 /s gives 1 % of the storage more a second for 2.5 % less fill.
        double offset = -(unwind - 12) * PercentPerMeterPerMinute / 0.4;
        Assert.Equal(0, Told(60, unwind, 50 + offset));
    }

    [Fact]
    public void A_step_below_1_percent_is_none()
    {
        Assert.Equal(0, Told(60, 12));

        Assert.Equal(0, Told(60, 12.1));
    }

    [Fact]
    public void What_follows_a_step_is_unjudged_until_it_is_judged()
    {
        Told(60, 12);
        Assert.Equal(0, _bag.Unjudged);
        Told(5, 13);
        Assert.InRange(_bag.Unjudged, 5, 20);
        Told(20, 13);

        Assert.Equal(0, _bag.Unjudged);
    }

    [Fact]
    public void A_bag_that_is_changed_at_a_stop_is_told_once_the_accumulator_is_filled()
    {
        Told(60, 12);
        Told(1, 5, fill: 60); // the stop's ramp
        _bag.Break();
        Assert.Equal(0, Told(30, 13));
        Assert.InRange(_bag.Unjudged, 30, BagStep.MostUnjudged);

        Assert.Equal(1, Told(30, 13));
    }

    [Fact]
    public void A_stop_without_another_bag_is_none()
    {
        Told(60, 12);
        _bag.Break();

        Assert.Equal(0, Told(60, 12));
        Assert.Equal(0, _bag.Unjudged);
    }

    [Fact]
    public void What_the_unwind_did_on_the_way_to_a_trip_is_no_other_bag()
    {
        Told(60, 13);
        _bag.Clear();

        Assert.Equal(0, Told(100, 12));
    }

    private int Told(int blocks, double unwind, double fill = 50)
    {
        int told = 0;
        for (int i = 0; i < blocks; i++)
        {
            FilmBlock block = default(FilmBlock) with { MeanUnwind = unwind, MeanFill = fill };
            told += _bag.IsOther(block, PercentPerMeterPerMinute) ? 1 : 0;
        }
        return told;
    }
}
