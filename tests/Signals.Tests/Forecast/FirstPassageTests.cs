using Dancerwatch.Signals.Forecast;

namespace Dancerwatch.Signals.Tests.Forecast;

public sealed class FirstPassageTests
{
    /// <summary>Ornstein-Uhlenbeck mean passage 0 -> a in relaxation times, computed with scipy from Siegert's integral.</summary>
    [Theory]
    [InlineData(2, 10.428)]
    [InlineData(3, 86.93)]
    public void Mean_passage_of_a_relaxing_process_agrees_with_Siegerts_integral(
        double level,
        double expected
    ) => Assert.Equal(expected, FirstPassage.MeanRelaxationTimes(level), expected * 1e-3);

    /// <summary>
    /// AR(1) passage within N steps, exact by propagation of the density (numpy), Monte Carlo agrees. The clumping
    /// approximation is meant for rare passages: the tolerance widens where passages are common.
    /// </summary>
    [Theory]
    [InlineData(0.90, 3, 0, 100, 0.052754, 0.005)]
    [InlineData(0.90, 2, -1, 150, 0.584711, 0.02)]
    [InlineData(0.98, 3, 0, 150, 0.018518, 0.003)]
    [InlineData(0.95, 2, 1, 50, 0.274000, 0.08)]
    public void Passage_of_correlated_noise_agrees_with_the_exact_probability(
        double correlation,
        double level,
        double present,
        int steps,
        double expected,
        double tolerance
    ) =>
        Assert.Equal(
            expected,
            FirstPassage.Probability(level, 0, 1, correlation, present, steps, steps),
            tolerance
        );

    /// <summary>Mean passage of AR(1), phi 0.9, level 3: 1701.7 steps (computed); so within 1 mean, 63 % passed.</summary>
    [Fact]
    public void After_one_mean_passage_time_most_have_passed() =>
        Assert.Equal(0.632, FirstPassage.Probability(3, 0, 1, 0.9, 0, 1_702, 1_702), 0.02);

    [Fact]
    public void A_drift_that_reaches_the_level_in_time_makes_passage_near_certain()
    {
        Assert.InRange(FirstPassage.Probability(10, 0.2, 1, 0.5, 0, 60, 60), 0.95, 1);
        Assert.InRange(FirstPassage.Probability(10, 0.1, 1, 0.5, 0, 60, 60), 0, 0.2);
    }

    [Fact]
    public void Drift_stops_where_it_is_told_to() =>
        Assert.InRange(FirstPassage.Probability(10, 0.2, 1, 0.5, 0, 60, driftSteps: 20), 0, 0.05);

    [Fact]
    public void A_level_far_away_is_never_passed() =>
        Assert.Equal(0, FirstPassage.Probability(50, 0, 1, 0.9, 0, 900, 900));

    [Fact]
    public void A_level_already_passed_is_at_least_even() =>
        Assert.InRange(FirstPassage.Probability(-1, 0, 1, 0.9, 0, 10, 10), 0.5, 1);
}
