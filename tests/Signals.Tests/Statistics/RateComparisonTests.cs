using Dancerwatch.Signals.Statistics;

namespace Dancerwatch.Signals.Tests.Statistics;

public sealed class RateComparisonTests
{
    // Computed with scipy 1.10.1: r = binomtest(k1, k1 + k2, t1 / (t1 + t2)); r.pvalue, and of r.proportion_ci(0.95, 'exact')
    // p / (1 - p) * t2 / t1. Its ratio is of the first over the second, ours of the later over the earlier.
    [Theory]
    [InlineData(12, 100, 3, 120, 0.008506971161979592, 1.2953672788693427, 26.505944277290187)]
    [InlineData(0, 40, 5, 60, 0.1648, 0, 1.6369186577738186)]
    [InlineData(7, 168, 7, 168, 1.0, 0.29930968181058, 3.3410212257445657)]
    [InlineData(1, 24, 0, 24, 1.0, 0.025641025641025664, double.PositiveInfinity)]
    [InlineData(30, 200, 18, 260, 0.008662872437134202, 1.1691628185656788, 4.127467248322051)]
    [InlineData(60, 50000, 30, 50000, 0.0020602656809630745, 1.2698931408319685, 3.211724619006644)]
    public void Test_and_interval_are_those_of_the_binomial_given_the_sum(
        int after,
        double hoursAfter,
        int before,
        double hoursBefore,
        double p,
        double least,
        double most
    )
    {
        RateComparison compared = RateComparison.Of(new(before, hoursBefore), new(after, hoursAfter));

        Assert.Equal(p, compared.PValue, 1e-9);
        Assert.Equal(least, compared.LeastRatio, 1e-7);
        Assert.Equal(most, compared.MostRatio, 1e-7);
    }

    [Fact]
    public void Where_nothing_came_there_is_nothing_to_tell()
    {
        RateComparison compared = RateComparison.Of(new(0, 10), new(0, 20));

        Assert.Equal((1.0, double.NaN), (compared.PValue, compared.Ratio));
    }
}
