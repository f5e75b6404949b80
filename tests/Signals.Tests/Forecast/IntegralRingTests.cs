using Dancerwatch.Signals.Forecast;

namespace Dancerwatch.Signals.Tests.Forecast;

public sealed class IntegralRingTests
{
    [Fact]
    public void The_mean_over_one_period_of_a_sine_is_its_offset_however_unevenly_it_is_read()
    {
        var random = new Random(5);
        var ring = new IntegralRing(400);
        double seconds = 0;
        for (int i = 0; i < 2_000; i++)
        {
            seconds += 0.01 + 0.02 * random.NextDouble();
            ring.Add(seconds, 50 + 10 * Math.Sin(2 * Math.PI * seconds / 1.5));
            if (i > 300)
                Assert.Equal(50, ring.Mean(1.5, 0), 0.02);
        }
    }

    [Fact]
    public void The_mean_of_a_ramp_between_two_moments_is_its_middle()
    {
        var ring = new IntegralRing(100);
        for (int i = 0; i <= 50; i++)
            ring.Add(i * 0.1, i * 0.1);
        Assert.Equal(3.5, ring.Mean(2, 1), 1e-9);
        Assert.Equal(2.5, ring.Mean(5, 0), 1e-9);
    }

    [Fact]
    public void What_the_window_does_not_cover_is_unknown()
    {
        var ring = new IntegralRing(10);
        for (int i = 0; i < 50; i++)
            ring.Add(i, 1);
        Assert.True(double.IsNaN(ring.Mean(10, 0)));
        Assert.Equal(1, ring.Mean(9, 0));
    }
}
