using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

public sealed class DancerTests
{
    // dx/dt = (v_in - v_out) / n: 10 mm/s over 6 spans, 100 mm of travel take 60 s (textbook, computed by hand).
    [Fact]
    public void An_accumulator_fills_at_the_difference_of_speeds_over_its_spans()
    {
        Dancer dancer = new(6 * 0.1, naturalHertz: 4, dampingRatio: 0.7, startPercent: 0);
        for (int i = 0; i < 60_000; i++)
            dancer.Step(0.001, 0.110 * 0.001, 0.100 * 0.001);

        Assert.Equal(0.6, dancer.StoredMeters, precision: 8);
        // The dancer trails a ramp by 2 zeta / w of it.
        double trailing = 100.0 / 60 * 2 * 0.7 / (2 * Math.PI * 4);
        Assert.Equal(100 - trailing, dancer.Percent, tolerance: 0.01);
    }

    // Overshoot of a second-order step response, exp(-pi zeta / sqrt(1 - zeta^2)): 16.3 % at 0.5 (textbook).
    [Fact]
    public void A_dancer_overshoots_a_leap_of_film_as_its_damping_says()
    {
        Dancer dancer = new(1, naturalHertz: 2, dampingRatio: 0.5, startPercent: 40);
        dancer.Step(0.001, 0.1, 0);
        double highest = 0;
        for (int i = 0; i < 3000; i++)
        {
            dancer.Step(0.001, 0, 0);
            highest = Math.Max(highest, dancer.Percent);
        }

        Assert.Equal(50 + (10 * 0.163), highest, tolerance: 0.05);
        Assert.Equal(50, dancer.Percent, tolerance: 0.001);
    }

    [Fact]
    public void At_the_empty_stop_the_machine_gets_no_more_than_the_roll_gives()
    {
        Dancer dancer = new(1, 4, 0.7, startPercent: 0);
        double drawn = 0;
        for (int i = 0; i < 5000; i++)
            drawn += dancer.Step(0.001, 0.00005, 0.0002);

        // 15 % of a metre stored below empty, and what came in.
        Assert.Equal(0.15 + 0.25, drawn, precision: 9);
        Assert.Equal(-Dancer.StopPercent, dancer.Percent, tolerance: 0.01);
    }

    [Fact]
    public void Past_the_full_stop_film_goes_slack()
    {
        Dancer dancer = new(1, 4, 0.7, startPercent: 90);
        for (int i = 0; i < 5000; i++)
            dancer.Step(0.001, 0.0001, 0);

        Assert.Equal(100 + Dancer.StopPercent, dancer.Percent);
        Assert.Equal(1.4, dancer.StoredMeters, precision: 9);
    }
}
