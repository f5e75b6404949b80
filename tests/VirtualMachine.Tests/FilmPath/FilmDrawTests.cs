using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Tests.FilmPath;

public sealed class FilmDrawTests
{
    [Fact]
    public void Each_cycle_pulls_one_bag_in_its_share_of_the_cycle()
    {
        FilmDraw draw = new(share: 0.4);
        for (int i = 0; i < 5000; i++)
            draw.Step(0.001, 1, 0.25, running: true, tripped: false);
        double[] pull = [.. Enumerable.Range(0, 60_000).Select(_ => draw.Step(0.001, 1, 0.25, true, false))];

        Assert.Equal(60 * 0.25, pull.Sum() * 0.001, tolerance: 0.01);
        Assert.Equal(0.4, pull.Count(speed => speed > 0) / 60_000.0, tolerance: 0.005);
        // A trapezoid of thirds peaks at 1.5 times the mean over the pull.
        Assert.Equal(1.5 * 0.25 / 0.4, pull.Max(), tolerance: 1e-6);
    }

    [Fact]
    public void A_trip_stops_the_pull_short_and_a_stop_lets_it_run_down()
    {
        static double SecondsToStand(bool tripped)
        {
            FilmDraw draw = new(share: 0.5);
            for (int i = 0; i < 5000; i++)
                draw.Step(0.001, 1, 0.25, running: true, tripped: false);
            int steps = 0;
            for (; draw.CyclesPerSecond > 0 && steps < 10_000; steps++)
                draw.Step(0.001, 1, 0.25, running: false, tripped);
            return steps * 0.001;
        }

        Assert.Equal(1.5, SecondsToStand(tripped: false), tolerance: 0.01);
        Assert.Equal(0.3, SecondsToStand(tripped: true), tolerance: 0.01);
    }
}
