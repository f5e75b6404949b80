using Dancerwatch.Signals.Forecast;
using FsCheck;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.Forecast;

public sealed class RobustTrendTests
{
    [Fact]
    public void A_straight_line_is_found_exactly()
    {
        TrendLine line = Fit(24, t => 40 + 0.25 * t);
        Assert.Equal(0.25, line.RatePerSecond, 1e-12);
        Assert.Equal(40 + 0.25 * 23, line.Level, 1e-9);
        Assert.True(line.IsRising);
    }

    /// <summary>Breakdown point 29.3 % (Rousseeuw and Leroy 1987, from memory): 6 of 24 points may be anything.</summary>
    [Fact]
    public void A_quarter_of_wild_points_moves_nothing_much()
    {
        TrendLine line = Fit(24, t => t % 4 == 1 ? 1_000 : 40 + 0.25 * t);
        Assert.InRange(line.RatePerSecond, 0.2, 0.6);
    }

    [Fact]
    public void Noise_without_trend_is_seldom_called_a_rise()
    {
        var random = new Random(11);
        int rises = 0;
        for (int i = 0; i < 2_000; i++)
            rises += Fit(
                24,
                _ => 50 + random.NextDouble() + random.NextDouble() + random.NextDouble()
            ).IsRising
                ? 1
                : 0;
        Assert.InRange(rises, 0, 40); // 3 standard uncertainties: 0.13 % on one side, were the noise and its spread known
    }

    [Fact]
    public void Fewer_than_six_points_are_no_line() =>
        Assert.True(double.IsNaN(Fit(5, t => t).RatePerSecond));

    [Property]
    public bool Rate_is_the_median_of_all_pairwise_slopes(NormalFloat[] values)
    {
        var trend = new RobustTrend(14);
        double[] last = [.. values.Select(v => Math.Clamp(v.Get, -1e6, 1e6)).TakeLast(14)];
        for (int i = 0; i < values.Length; i++)
            trend.Add(i, Math.Clamp(values[i].Get, -1e6, 1e6));
        if (last.Length < RobustTrend.FewestPoints)
            return double.IsNaN(trend.Fit().RatePerSecond);
        double[] slopes =
        [
            .. from i in Enumerable.Range(0, last.Length)
            from j in Enumerable.Range(i + 1, last.Length - i - 1)
            orderby (last[j] - last[i]) / (j - i)
            select (last[j] - last[i]) / (j - i),
        ];
        return trend.Fit().RatePerSecond == slopes[(slopes.Length - 1) / 2];
    }

    private static TrendLine Fit(int points, Func<int, double> value)
    {
        var trend = new RobustTrend(24);
        for (int t = 0; t < points; t++)
            trend.Add(t, value(t));
        return trend.Fit();
    }
}
