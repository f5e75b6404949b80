using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Forecast;

namespace Dancerwatch.Signals.Tests.Causes;

/// <summary>Film that swings by 10 % either way once in 12 s, in blocks of a second; 1.5 m stored.</summary>
public sealed class SlowSwingTests
{
    private const double PercentPerMeterPerMinute = 100 * 1000.0 / 60 / 1500;
    private const double PeriodSeconds = 12;
    private readonly SlowSwing _swing = new();

    [Fact]
    public void A_swing_that_the_unwind_gives_and_takes_is_all_its_own()
    {
        Add(unwindShare: 1);

        Assert.InRange(_swing.UnwindShare, 0.93, 1.07);
        Assert.InRange(_swing.Percent, 18, 20.5);
    }

    [Fact]
    public void A_swing_that_the_draw_takes_and_gives_is_none_of_the_unwinds()
    {
        Add(unwindShare: 0);

        Assert.InRange(_swing.UnwindShare, -0.01, 0.01);
        Assert.InRange(_swing.Percent, 18, 20.5);
    }

    [Fact]
    public void Of_a_swing_that_both_make_half_is_the_unwinds()
    {
        Add(unwindShare: 0.5);

        Assert.InRange(_swing.UnwindShare, 0.45, 0.55);
    }

    [Fact]
    public void An_unwind_that_works_against_the_draw_has_a_share_below_nothing()
    {
        Add(unwindShare: -0.5);

        Assert.InRange(_swing.UnwindShare, -0.55, -0.45);
    }

    [Fact]
    public void Where_the_storage_is_not_known_nobody_is_accused()
    {
        Add(unwindShare: 1, percentPerMeterPerMinute: double.NaN);

        Assert.True(double.IsNaN(_swing.UnwindShare));
        Assert.InRange(_swing.Percent, 18, 20.5);
    }

    [Fact]
    public void A_ramp_leaves_nothing()
    {
        for (int i = 0; i < 24; i++)
            _swing.Add(Block(20 + (2 * i), 12), PercentPerMeterPerMinute);

        Assert.Equal(0, _swing.Percent, 1e-9);
    }

    [Fact]
    public void Before_24_blocks_came_nothing_is_known()
    {
        for (int i = 0; i < 23; i++)
            _swing.Add(Block(50 + (i % 2), 12), PercentPerMeterPerMinute);

        Assert.True(double.IsNaN(_swing.Percent) && double.IsNaN(_swing.UnwindShare));
    }

    // Means over whole blocks of fill = 10 sin(w t) and of the unwind's share of its derivative.
    private void Add(double unwindShare, double percentPerMeterPerMinute = PercentPerMeterPerMinute)
    {
        const double w = 2 * Math.PI / PeriodSeconds;
        for (int i = 0; i < 30; i++)
        {
            double fill = 50 + (10 / w * (Math.Cos(w * i) - Math.Cos(w * (i + 1))));
            double rate = 10 * (Math.Sin(w * (i + 1)) - Math.Sin(w * i));
            _swing.Add(
                Block(fill, 12 + (unwindShare * rate / PercentPerMeterPerMinute)),
                percentPerMeterPerMinute
            );
        }
    }

    private static FilmBlock Block(double fill, double unwind) =>
        default(FilmBlock) with
        {
            DurationSeconds = 1,
            MeanFill = fill,
            MeanUnwind = unwind,
        };
}
