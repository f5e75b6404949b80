using Dancerwatch.Signals.Causes;

namespace Dancerwatch.Signals.Tests.Causes;

/// <summary>Blocks of 12 m/min and 1.5 s in which fill swings by 10 %.</summary>
public sealed class BagStepTests
{
    private readonly BagStep _bag = new();

    [Theory]
    [InlineData(13)]
    [InlineData(11)]
    public void Another_bag_changes_swing_and_unwind_alike_and_is_told_once(double unwind)
    {
        Assert.Equal(0, Told(60, 12));

        Assert.Equal(1, Told(60, unwind, 10 * unwind / 12));
    }

    [Fact]
    public void An_unwind_that_steps_while_fill_swings_as_before_draws_no_other_bag()
    {
        Assert.Equal(0, Told(60, 12));

        Assert.Equal(0, Told(60, 13));
    }

    [Theory]
    [InlineData(12.4)]
    [InlineData(11.6)]
    public void A_small_step_is_another_bag_where_the_rate_moves_with_it(double unwind)
    {
        Assert.Equal(0, Told(60, 12));

        Assert.Equal(1, Told(60, unwind, seconds: 1.503));
    }

    [Fact]
    public void A_small_step_alone_is_none_for_the_cam_can_bend_the_swing_as_much()
    {
        Assert.Equal(0, Told(60, 12));

        Assert.Equal(0, Told(60, 12.4, swing: 10.4));
    }

    [Fact]
    public void What_creeps_by_1_percent_a_block_is_no_other_bag()
    {
        Assert.Equal(0, Told(60, 12));
        for (int i = 0; i < 30; i++)
            Assert.Equal(0, Told(1, 12 * (1 + (0.01 * i)), 10 * (1 + (0.01 * i))));
    }

    [Fact]
    public void A_start_is_none_either()
    {
        Assert.Equal(0, Told(60, 12));
        _bag.Clear();

        Assert.Equal(0, Told(10, 18, 15));
        Assert.Equal(0, Told(100, 12));
    }

    private int Told(int blocks, double unwind, double swing = 10, double seconds = 1.5)
    {
        int told = 0;
        for (int i = 0; i < blocks; i++)
            told += _bag.IsOther(unwind, swing, seconds) ? 1 : 0;
        return told;
    }
}
