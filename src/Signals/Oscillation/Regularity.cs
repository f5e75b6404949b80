namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// How even the periods are: mean period over three standard deviations of the period, from the zero crossings of the
/// autocorrelation (Thornhill, Huang &amp; Zhang 2003). Above 1 is regular. The autocorrelation is that of the band from
/// 0.6 to 1.6 times the frequency; narrower would make noise look regular, wider would let other movements in.
/// </summary>
internal static class Regularity
{
    /// <summary>Eleven crossings span five periods.</summary>
    private const int MostCrossings = 11;
    private const int FewestCrossings = 5;
    private const double LowShare = 0.6;
    private const double HighShare = 1.6;

    /// <summary>Highest value given; a pure tone would give infinity.</summary>
    public const double Highest = 99;

    /// <returns>Regularity, 0 where there are too few crossings to say.</returns>
    public static double Of(Spectrum spectrum, double frequencyHz, double gridSeconds, double spanSeconds)
    {
        double low = LowShare * frequencyHz;
        double high = HighShare * frequencyHz;
        int lastLag = (int)(0.6 * spanSeconds / gridSeconds);
        int crossings = 0;
        double previous = spectrum.BandAutocorrelation(low, high, 0);
        double previousCrossing = 0;
        double sum = 0;
        double squares = 0;
        for (int lag = 1; lag <= lastLag && crossings < MostCrossings; lag++)
        {
            double value = spectrum.BandAutocorrelation(low, high, lag);
            if (value > 0 != previous > 0)
            {
                double crossing = lag - 1 + previous / (previous - value);
                if (crossings++ > 0)
                {
                    double period = 2 * (crossing - previousCrossing);
                    sum += period;
                    squares += period * period;
                }
                previousCrossing = crossing;
            }
            previous = value;
        }
        if (crossings < FewestCrossings)
            return 0;
        int periods = crossings - 1;
        double mean = sum / periods;
        double variance = Math.Max(0, (squares - sum * mean) / (periods - 1));
        return Math.Min(Highest, mean / (3 * Math.Sqrt(variance) + 1e-12));
    }
}
