namespace Dancerwatch.Signals.Statistics;

/// <summary>How often something came, and how surely that is known, where it comes at a constant rate and each by itself (Poisson).</summary>
/// <param name="Count">How often; not negative.</param>
/// <param name="Hours">In so many hours; above 0.</param>
public readonly record struct EventRate(int Count, double Hours)
{
    private const double Tail = 0.025;

    /// <summary>Hours between two, Hours / Count; infinite where none came.</summary>
    public double HoursBetween => Hours / Count;

    /// <summary>At least so many hours between two, in 95 of 100 cases (with <see cref="MostHoursBetween"/>).</summary>
    public double LeastHoursBetween => Hours / MostExpected;

    /// <summary>At most so many hours between two; infinite where none came.</summary>
    public double MostHoursBetween => Hours / LeastExpected;

    /// <summary>Lower end of the exact 95 % interval of the count that is to be expected (Garwood 1936, Biometrika 28, 437).</summary>
    public double LeastExpected
    {
        get
        {
            int count = Count;
            return count == 0 ? 0 : Bisection.Rising(mean => 1 - Below(count, mean), Tail, 0, count);
        }
    }

    /// <summary>Upper end of it.</summary>
    public double MostExpected
    {
        get
        {
            int count = Count;
            // Five roots past and ten more are far past the end.
            return Bisection.Rising(
                mean => -Below(count + 1, mean),
                -Tail,
                count,
                count + (5 * Math.Sqrt(count)) + 10
            );
        }
    }

    /// <summary>Probability of fewer than <paramref name="count"/> where <paramref name="mean"/> are to be expected.</summary>
    private static double Below(int count, double mean)
    {
        if (mean <= 0)
            return count > 0 ? 1 : 0;
        double log = -mean;
        double sum = 0;
        for (int k = 0; k < count; k++)
        {
            sum += Math.Exp(log);
            log += Math.Log(mean / (k + 1));
        }
        return sum;
    }
}
