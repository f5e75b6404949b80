using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Warnings;
using FsCheck.Xunit;

namespace Dancerwatch.Signals.Tests.Forecast;

public sealed class SurvivalTests
{
    private const double HorizonSeconds = 300;
    private readonly Survival _survival = new();

    /// <summary>Mean of a factor whose prior is Gamma of the given shape and rate, after a foretold hazard h passed without a trip.</summary>
    /// <remarks>By summing prior times likelihood over the factor's logarithm: nothing here knows of conjugacy.</remarks>
    private static double PosteriorMean(double hazard)
    {
        (double weighed, double weight) = (0, 0);
        for (double log = -40; log < 6; log += 0.001)
        {
            double factor = Math.Exp(log);
            double density =
                Math.Pow(factor, Survival.PriorShape)
                * Math.Exp(-Survival.PriorRate * factor)
                * Math.Exp(-hazard * factor);
            weighed += factor * density;
            weight += density;
        }
        return weighed / weight;
    }

    [Theory]
    [InlineData(0.1)]
    [InlineData(0.5)]
    [InlineData(0.9)]
    public void A_foretold_hazard_counts_by_the_mean_of_the_factor_that_survival_leaves(double probability)
    {
        double hazard = Hazard(probability);
        Assert.Equal(hazard * PosteriorMean(0), HazardTold(probability), 1e-4);

        Foretell(0.99, 60); // so short that a hundredth or so of it is forgotten
        double foretold = Hazard(0.99) * 60 / HorizonSeconds;
        double expected = hazard * PosteriorMean(foretold);
        Assert.Equal(expected, HazardTold(probability), 0.03 * expected);
    }

    [Fact]
    public void A_machine_is_believed_to_trip_less_often_than_a_straight_line_says() =>
        Assert.True(Divisor() >= 1);

    [Fact]
    public void What_was_foretold_is_forgotten_over_hours_and_not_over_a_minute()
    {
        double prior = Divisor();
        Foretell(0.9, 600);
        double before = Divisor() - prior;
        Foretell(0, 60);
        Assert.InRange(Divisor() - prior, 0.9 * before, before);
        Foretell(0, 12 * 3_600);
        Assert.InRange(Divisor() - prior, 0, 0.01 * before);
    }

    [Fact]
    public void However_long_it_was_wrong_a_forecast_is_never_disbelieved_altogether()
    {
        Foretell(0.995, 24 * 3_600);
        double aDay = _survival.Temper(0.995);
        Foretell(0.995, 24 * 3_600);

        Assert.Equal(aDay, _survival.Temper(0.995), 1e-6);
        Assert.InRange(aDay, 0.05, 0.995);
    }

    [Fact]
    public void No_more_is_foretold_than_a_limit_may_ask_for() =>
        Assert.InRange(
            _survival.Temper(1),
            WarningSettings.MostProbable,
            WarningSettings.MostProbable + 0.01
        );

    [Fact]
    public void A_trip_clears_what_was_foretold()
    {
        double fresh = _survival.Temper(0.8);
        Foretell(0.8, 600);
        Assert.True(_survival.Temper(0.8) < 0.7 * fresh);

        _survival.Clear();
        Assert.Equal(fresh, _survival.Temper(0.8));
    }

    [Fact]
    public void A_probability_that_is_not_known_counts_for_nothing_and_stays_unknown()
    {
        Foretell(0.6, 100);
        double before = _survival.Temper(0.6);
        _survival.Add(100, double.NaN);

        Assert.Equal(before, _survival.Temper(0.6));
        Assert.True(double.IsNaN(_survival.Temper(double.NaN)));
    }

    [Property]
    public bool It_only_lowers_and_never_turns_two_probabilities_about(double a, double b, double told)
    {
        (double low, double high) = (Math.Min(Share(a), Share(b)), Math.Max(Share(a), Share(b)));
        Foretell(Share(told), 50);
        (double first, double second) = (_survival.Temper(low), _survival.Temper(high));
        return first <= second && second <= high && first >= 0 && second < 1;

        static double Share(double value) => double.IsFinite(value) ? Math.Abs(value) % 1 : 1;
    }

    private void Foretell(double probability, double seconds)
    {
        for (double t = 0; t < seconds; t++)
            _survival.Add(1, probability);
    }

    /// <summary>What a hazard is divided by now.</summary>
    private double Divisor() => Hazard(0.5) / HazardTold(0.5);

    /// <summary>Of those developments that come to a trip at all.</summary>
    private double HazardTold(double probability) =>
        Hazard(_survival.Temper(probability) / Survival.ShareThatTrips);

    private static double Hazard(double probability) => -Math.Log(1 - probability);
}
