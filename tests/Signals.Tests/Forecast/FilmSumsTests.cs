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

    /// <summary>Looked for before the oldest reading, a moment would be looked for round and round.</summary>
    [Theory]
    [InlineData(8)]
    [InlineData(40)]
    public void A_moment_that_lies_before_the_oldest_reading_by_rounding_is_that_readings(int capacity)
    {
        var sums = new FilmSums(capacity);
        for (int i = 0; i < 30; i++)
        {
            sums.Add(1e6 + (i * 0.02), 40, 12, 12);
            if (i == 0)
                continue;
            int place = 0;
            double covered = sums.CoveredSeconds;
            Assert.Equal(covered, sums.Newest.Seconds - sums.At(covered + 5e-10, ref place).Seconds, 1e-8);
            Assert.Equal(40, sums.Mean(covered + 5e-10, 0).Fill, 1e-4);
        }
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
