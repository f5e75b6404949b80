using Dancerwatch.Signals.Forecast;

namespace Dancerwatch.Signals.Tests.Forecast;

public sealed class RoughnessTests
{
    private const double PollSeconds = 0.02;
    private readonly Roughness _roughness = new(PollSeconds);
    private readonly Random _random = new(4);

    /// <summary>
    /// The second difference of independent noise has a variance of 1 + 4 + 1 times its own; the median of the size of a normal
    /// number is 0.6745 standard deviations (quartile of the normal distribution, from memory).
    /// </summary>
    [Fact]
    public void Noise_of_a_known_spread_gives_the_median_that_the_normal_distribution_foretells()
    {
        const double spread = 0.3;
        const int blocks = 80;
        double sum = 0;
        for (int block = 0; block < blocks; block++)
        {
            _roughness.Clear();
            for (int i = 0; i < 256; i++)
                _roughness.Add(((256 * block) + i) * PollSeconds, 50 + (spread * Normal()));
            sum += _roughness.Percent;
        }

        double foretold = 0.6745 * Math.Sqrt(6) * spread;
        Assert.InRange(sum / blocks, 0.97 * foretold, 1.03 * foretold);
    }

    [Fact]
    public void A_straight_line_is_smooth_however_steep_and_however_uneven_its_times()
    {
        double seconds = 0;
        for (int i = 0; i < 100; i++)
        {
            seconds += PollSeconds * (0.6 + (0.8 * _random.NextDouble()));
            _roughness.Add(seconds, 40 * seconds);
        }

        Assert.InRange(_roughness.Percent, 0, 1e-9);
    }

    [Fact]
    public void One_reading_off_the_line_of_its_neighbours_counts_with_twice_its_distance()
    {
        _roughness.Add(0, 50);
        _roughness.Add(PollSeconds, 51);
        _roughness.Add(2 * PollSeconds, 50);

        Assert.Equal(2, _roughness.Percent, 1e-12);
    }

    [Theory]
    [InlineData(1.4, true)]
    [InlineData(1.6, false)]
    public void Only_three_readings_that_stand_a_poll_apart_count(double polls, bool counts)
    {
        _roughness.Add(0, 50);
        _roughness.Add(PollSeconds, 51);
        _roughness.Add((1 + polls) * PollSeconds, 50);

        Assert.Equal(counts, double.IsFinite(_roughness.Percent));
    }

    [Fact]
    public void A_controller_that_scans_half_as_often_as_it_is_polled_looks_no_rougher()
    {
        for (int i = 0; i < 200; i++)
            _roughness.Add(i * PollSeconds, i / 2);

        Assert.True(double.IsNaN(_roughness.Percent)); // a staircase, of which no three steps stand a poll apart
    }

    [Fact]
    public void Scans_that_were_stale_do_not_raise_it()
    {
        double clean = Median(stale: _ => false, late: _ => false);
        double stale = Median(stale: i => i % 10 is 4 or 7, late: _ => false);

        Assert.InRange(stale, 0.9 * clean, 1.1 * clean);
    }

    [Fact]
    public void A_burst_of_late_readings_does_not_raise_it()
    {
        double clean = Median(stale: _ => false, late: _ => false);
        double late = Median(stale: _ => false, late: i => i is > 50 and < 90);

        Assert.InRange(late, 0.9 * clean, 1.2 * clean);
    }

    [Fact]
    public void A_new_block_still_knows_the_neighbours_before_it_and_after_a_break_there_are_none()
    {
        _roughness.Add(0, 50);
        _roughness.Add(PollSeconds, 51);
        _roughness.Clear();
        _roughness.Add(2 * PollSeconds, 50);
        Assert.Equal(2, _roughness.Percent, 1e-12);

        _roughness.Clear();
        _roughness.Break();
        _roughness.Add(3 * PollSeconds, 51);
        _roughness.Add(4 * PollSeconds, 50);
        Assert.True(double.IsNaN(_roughness.Percent));
    }

    [Fact]
    public void A_reading_allocates_nothing_even_beyond_what_a_block_holds()
    {
        int i = 0;
        double sum = 0;
        long allocated = Allocated.Bytes(_ =>
        {
            for (int end = i + 1_000; i < end; i++)
                _roughness.Add(i * PollSeconds, i % 7);
            sum += _roughness.Percent;
            _roughness.Clear();
        });

        Assert.Equal(0, allocated);
        Assert.True(sum > 0);
    }

    // Of 20 blocks of a dancer that falls by 40 %/s with noise of 0.05 %, the mean. A stale scan tells the reading before once
    // more; a late reading is stamped up to two polls after its value was true.
    private double Median(Func<int, bool> stale, Func<int, bool> late)
    {
        double sum = 0;
        for (int block = 0; block < 20; block++)
        {
            var roughness = new Roughness(PollSeconds);
            double before = 0;
            double seconds = 0;
            for (int i = 0; i < 250; i++)
            {
                double fill = stale(i) ? before : 100 - (40 * i * PollSeconds) + (0.05 * Normal());
                before = fill;
                double delay = late(i) ? 2 * _random.NextDouble() : 0;
                seconds = Math.Max(seconds + 1e-4, (i + delay) * PollSeconds);
                roughness.Add(seconds, fill);
            }
            sum += roughness.Percent / 20;
        }
        return sum;
    }

    private double Normal() =>
        Math.Sqrt(-2 * Math.Log(1 - _random.NextDouble())) * Math.Cos(2 * Math.PI * _random.NextDouble());
}
