using Dancerwatch.Signals.Statistics;

namespace Dancerwatch.Signals.Tests.Statistics;

public sealed class EventRateTests
{
    // Computed with scipy 1.10.1: special.gammaincinv(k, .025) and special.gammainccinv(k + 1, .025), which are half the chi-squared
    // quantiles of 2 k and 2 k + 2 (its chi2.ppf agrees to 3e-10 only).
    [Theory]
    [InlineData(0, 0, 3.6888794541139354)]
    [InlineData(1, 0.025317807984289876, 5.571643390938898)]
    [InlineData(3, 0.6186721228956014, 8.767273069742323)]
    [InlineData(10, 4.7953886961324335, 18.39035604201778)]
    [InlineData(100, 81.36399125092314, 121.62679379242638)]
    public void The_interval_of_a_count_is_the_exact_one(int count, double low, double high)
    {
        EventRate rate = new(count, 100);

        Assert.Equal(low, rate.LeastExpected, 1e-9);
        Assert.Equal(high, rate.MostExpected, 1e-9);
    }

    [Fact]
    public void Hours_between_two_are_hours_over_count_and_the_interval_turns_round()
    {
        EventRate rate = new(10, 200);

        Assert.Equal(20, rate.HoursBetween);
        Assert.Equal(200 / 18.39035604201778, rate.LeastHoursBetween, 1e-9);
        Assert.Equal(200 / 4.7953886961324335, rate.MostHoursBetween, 1e-9);
    }

    [Fact]
    public void Where_none_came_only_the_least_is_known()
    {
        EventRate rate = new(0, 24);

        Assert.Equal(double.PositiveInfinity, rate.HoursBetween);
        Assert.Equal(double.PositiveInfinity, rate.MostHoursBetween);
        Assert.Equal(24 / 3.6888794541139354, rate.LeastHoursBetween, 1e-9);
    }
}
