using Dancerwatch.Signals.FilmPath;
using FsCheck;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.FilmPath;

public sealed class SpeedHistogramTests
{
    [Property]
    public void A_percentile_is_that_of_the_sorted_speeds_to_within_6_percent(int seed, byte share)
    {
        Random random = new(seed);
        double[] speeds =
        [
            .. Enumerable
                .Range(0, random.Next(1, 500))
                .Select(_ => 0.1 * Math.Pow(10_000, random.NextDouble())),
        ];
        double wanted = (share + 1) / 256.0;
        SpeedHistogram histogram = new();
        foreach (double speed in speeds)
            histogram.Add(speed);

        double plain = speeds.Order().ElementAt((int)Math.Ceiling(wanted * speeds.Length) - 1);
        Assert.InRange(histogram.Percentile(wanted), plain / 1.0625, plain * 1.0625);
    }

    [Fact]
    public void What_is_taken_out_leaves_no_trace()
    {
        SpeedHistogram all = new();
        SpeedHistogram left = new();
        SpeedHistogram fast = new();
        for (int i = 1; i <= 100; i++)
        {
            all.Add(i);
            left.Add(i);
            all.Add(10 * i);
            fast.Add(10 * i);
        }
        all.Subtract(fast);

        Assert.Equal(100, all.Count);
        for (double share = 0.01; share <= 1; share += 0.01)
            Assert.Equal(left.Percentile(share), all.Percentile(share));
    }

    [Fact]
    public void Speeds_beyond_its_range_count_as_slowest_and_fastest()
    {
        SpeedHistogram histogram = new();
        histogram.Add(0);
        histogram.Add(1e9);

        Assert.InRange(histogram.Percentile(0.5), 0, 0.07);
        Assert.InRange(histogram.Percentile(1), 3800, 4096);
    }

    [Fact]
    public void Nothing_counted_has_no_percentile() =>
        Assert.True(double.IsNaN(new SpeedHistogram().Percentile(0.99)));
}
