using Dancerwatch.Signals.Statistics;

namespace Dancerwatch.Signals.Tests.Statistics;

public sealed class RankComparisonTests
{
    private static readonly double[] s_x = [31.2, 28.4, 33.9, 30.1, 29.5, 35.0, 27.7];
    private static readonly double[] s_y = [22.1, 25.6, 30.1, 24.8, 21.0, 26.3];

    // Computed with scipy 1.10.1: mannwhitneyu(x, y, alternative='two-sided', method='asymptotic', use_continuity=True); its
    // statistic counts the pairs in which x is larger.
    [Fact]
    public void One_tie_is_counted_by_half_and_corrected_for()
    {
        RankComparison compared = RankComparison.Of(s_y, s_x);

        Assert.Equal(0.015019261874626436, compared.PValue, 1e-12);
        Assert.Equal(38.5 / 42, compared.Larger, 1e-12);
        Assert.Equal((25.2, 30.1), (Math.Round(compared.MedianBefore, 9), compared.MedianAfter));
    }

    [Fact]
    public void Many_ties_are_corrected_for()
    {
        RankComparison compared = RankComparison.Of([2, 3, 3, 5, 6, 7, 7], [1, 2, 2, 3, 4]);

        Assert.Equal(0.0694955817605626, compared.PValue, 1e-12);
        Assert.Equal(6.0 / 35, compared.Larger, 1e-12);
    }

    [Fact]
    public void Two_dozen_values_on_a_side_give_the_named_probability()
    {
        double[] x = [.. Enumerable.Range(0, 20).Select(i => (double)i)];
        double[] y = [.. Enumerable.Range(0, 25).Select(i => i + 3.5)];

        Assert.Equal(0.009527489556328561, RankComparison.Of(y, x).PValue, 1e-12);
        Assert.Equal(0.009527489556328561, RankComparison.Of(x, y).PValue, 1e-12);
    }

    [Fact]
    public void A_sample_beside_itself_has_not_changed() =>
        Assert.Equal((1.0, 0.5), (RankComparison.Of(s_x, s_x).PValue, RankComparison.Of(s_x, s_x).Larger));

    [Fact]
    public void Values_that_are_all_alike_have_not_changed() =>
        Assert.Equal(1.0, RankComparison.Of([4, 4, 4], [4, 4]).PValue);
}
