using Dancerwatch.Signals.Forecast;

namespace Dancerwatch.Signals.Tests.Forecast;

public sealed class FilmSumsTests
{
    [Fact]
    public void The_mean_over_one_period_of_a_sine_is_its_offset_however_unevenly_it_is_read()
    {
        var random = new Random(5);
        var sums = new FilmSums(400);
        double seconds = 0;
        for (int i = 0; i < 2_000; i++)
        {
            seconds += 0.01 + 0.02 * random.NextDouble();
            sums.Add(seconds, 50 + 10 * Math.Sin(2 * Math.PI * seconds / 1.5), 12, 12);
            if (i > 300)
                Assert.Equal(50, sums.Mean(1.5, 0).Fill, 0.02);
        }
    }

    [Fact]
    public void The_mean_of_a_ramp_between_two_moments_is_its_middle()
    {
        var sums = new FilmSums(100);
        for (int i = 0; i <= 50; i++)
            sums.Add(i * 0.1, i * 0.1, 2 * i * 0.1, 12);
        Assert.Equal(3.5, sums.Mean(2, 1).Fill, 1e-9);
        Assert.Equal(2.5, sums.Mean(5, 0).Fill, 1e-9);
        Assert.Equal(5, sums.Mean(5, 0).Unwind, 1e-9);
    }

    [Fact]
    public void What_the_window_does_not_cover_is_unknown()
    {
        var sums = new FilmSums(10);
        for (int i = 0; i < 50; i++)
            sums.Add(i, 1, 1, 1);
        Assert.True(double.IsNaN(sums.Mean(10, 0).Fill));
        Assert.Equal(1, sums.Mean(9, 0).Fill);
    }
}
