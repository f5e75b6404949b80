namespace Dancerwatch.Signals.Statistics;

/// <summary>The standard normal distribution.</summary>
internal static class Normal
{
    /// <summary>From here on the continued fraction is exact to rounding within its terms.</summary>
    private const double Far = 3;

    private const int Terms = 200;

    /// <summary>
    /// Probability above <paramref name="z"/>, not negative, to about 1e-13 relatively: near, the series of Abramowitz and Stegun
    /// 26.2.11; far, their continued fraction 26.2.14.
    /// </summary>
    public static double Above(double z)
    {
        double density = Math.Exp(-z * z / 2) / Math.Sqrt(2 * Math.PI);
        if (z < Far)
        {
            double term = z;
            double sum = z;
            for (int k = 3; term > sum * 1e-17; k += 2)
                sum += term *= z * z / k;
            return 0.5 - (density * sum);
        }
        double fraction = z;
        for (int k = Terms; k >= 1; k--)
            fraction = z + (k / fraction);
        return density / fraction;
    }
}
