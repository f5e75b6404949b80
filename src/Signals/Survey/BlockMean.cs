namespace Dancerwatch.Signals.Survey;

/// <summary>
/// Mean of readings that follow each other closely, with its uncertainty. Neighbours are alike (a hand trembles slowly), so
/// that s / sqrt(n) would promise too much: the readings are cut into a few long blocks, whose means know little of each other,
/// and the scatter of these is what counts (batch means: Conway 1963, from memory; type A, GUM 4.2).
/// </summary>
internal static class BlockMean
{
    private const int Blocks = 6;

    /// <summary>Variance of noise from which on rounding averages out, steps^2.</summary>
    private const double Averaged = 0.25;

    /// <param name="values">Evenly spaced, at least two blocks' worth; else the result is unknown.</param>
    /// <param name="step">Resolution of the readings.</param>
    public static Uncertain Of(ReadOnlySpan<double> values, double step)
    {
        int length = values.Length / Blocks;
        if (length < 2)
            return Uncertain.Unknown;
        double sum = 0;
        double squares = 0;
        for (int block = 0; block < Blocks; block++)
        {
            double mean = Mean(values.Slice(block * length, length));
            sum += mean;
            squares += mean * mean;
        }
        double scatter = Math.Max(0, squares - (sum * sum / Blocks)) / (Blocks - 1) / Blocks;
        double rounding = RoundingVariance(values, step);
        double variance = scatter + rounding;
        // Effective degrees of freedom (Welch-Satterthwaite, GUM G.4.1): the rounding is known for certain.
        double freedom =
            scatter > 0 ? (Blocks - 1) * (variance / scatter) * (variance / scatter) : double.MaxValue;
        return new(Mean(values), Coverage.Factor(freedom) * Math.Sqrt(variance));
    }

    /// <summary>
    /// What rounding adds to a mean: a rectangle, step^2 / 12 (GUM F.2.2.1); nothing where noise of half a step or more carries
    /// the readings over the steps, for then it averages out to less than 0.3 % of a step (Widrow and Kollar 2008, from memory).
    /// </summary>
    private static double RoundingVariance(ReadOnlySpan<double> values, double step)
    {
        double squares = 0;
        for (int i = 1; i < values.Length; i++)
            squares += (values[i] - values[i - 1]) * (values[i] - values[i - 1]);
        // Neighbours differ by twice the noise's variance, the rounding's among it.
        double variance = squares / (values.Length - 1) / 2;
        return variance >= step * step * (Averaged + (1.0 / 12)) ? 0 : step * step / 12;
    }

    public static double Mean(ReadOnlySpan<double> values)
    {
        double sum = 0;
        foreach (double value in values)
            sum += value;
        return sum / values.Length;
    }
}
