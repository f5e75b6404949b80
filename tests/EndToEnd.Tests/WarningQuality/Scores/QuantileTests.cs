using Dancerwatch.Bench.WarningQuality.Scores;

namespace Dancerwatch.EndToEnd.Tests.WarningQuality.Scores;

public sealed class QuantileTests
{
    /// <summary>Twelve thicknesses of NIST/SEMATECH e-Handbook 7.2.6.2; the value is R's: <c>quantile(x, 0.9, type = 7)</c>.</summary>
    [Fact]
    public void The_ninetieth_percentile_is_that_of_R_type_7()
    {
        double[] thicknesses =
        [
            95.1772,
            95.1567,
            95.1937,
            95.1959,
            95.1442,
            95.0610,
            95.1591,
            95.1195,
            95.1065,
            95.0925,
            95.1990,
            95.1682,
        ];

        Assert.Equal(95.19568, Quantile.Of(thicknesses, 0.9), 5e-6);
    }

    /// <summary>By hand from Hyndman and Fan 1996 (from memory): the value at place 1 + (n - 1) p, straight between.</summary>
    [Theory]
    [InlineData(0, 1)]
    [InlineData(0.1, 1.4)]
    [InlineData(0.25, 2)]
    [InlineData(0.5, 3)]
    [InlineData(0.95, 8.8)]
    [InlineData(1, 10)]
    public void Places_between_two_values_are_interpolated(double share, double expected) =>
        Assert.Equal(expected, Quantile.Of([10, 3, 1, 2, 4], share), 1e-12);

    [Fact]
    public void The_median_of_an_even_count_lies_halfway_between_the_middle_two() =>
        Assert.Equal(2.5, Quantile.Median([4, 1, 3, 2]));

    [Fact]
    public void Of_nothing_there_is_none_and_of_one_value_every_one_is_it()
    {
        Assert.True(double.IsNaN(Quantile.Of([], 0.5)));
        Assert.Equal(7, Quantile.Of([7], 0.1));
    }
}
