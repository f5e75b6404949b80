namespace Dancerwatch.Signals.Statistics;

/// <summary>
/// Whether something came more often before than after: the exact conditional test of two Poisson rates. Given their sum, the
/// count before is binomial with p = hours before / all hours where nothing changed (Przyborowski and Wilenski 1940,
/// Biometrika 31, 313). It takes events to come each by itself: where one brings the next, it claims too much.
/// </summary>
/// <param name="PValue">How probable counts at least as unlikely as these are where the rate did not change; 1 where nothing came.</param>
/// <param name="Ratio">Rate after over rate before; NaN where nothing came, infinite where nothing came before.</param>
/// <param name="LeastRatio">Lower end of its exact 95 % interval; NaN where nothing came.</param>
/// <param name="MostRatio">Upper end; infinite where nothing came before.</param>
public readonly record struct RateComparison(double PValue, double Ratio, double LeastRatio, double MostRatio)
{
    /// <param name="before">Hours above 0.</param>
    /// <param name="after">Hours above 0.</param>
    public static RateComparison Of(EventRate before, EventRate after)
    {
        int both = before.Count + after.Count;
        if (both == 0)
            return new(1, double.NaN, double.NaN, double.NaN);
        Binomial binomial = new(both);
        double p = binomial.TwoSided(after.Count, after.Hours / (before.Hours + after.Hours));
        (double low, double high) = binomial.Interval(after.Count);
        double hours = before.Hours / after.Hours;
        return new(
            p,
            hours * after.Count / before.Count,
            hours * low / (1 - low),
            after.Count == both ? double.PositiveInfinity : hours * high / (1 - high)
        );
    }
}
