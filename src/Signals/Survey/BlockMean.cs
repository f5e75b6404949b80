namespace Dancerwatch.Signals.Survey;

/// <summary>
/// Mean of readings that follow each other closely, with its uncertainty. Neighbours are alike (a hand trembles slowly), so
/// that s / sqrt(n) would promise too much: the readings are cut into a few long blocks, whose means know little of each other,
/// and the scatter of these is what counts (batch means: Conway 1963, from memory; type A, GUM 4.2).
/// </summary>
internal static class BlockMean
{
    private const int Blocks = 8;

    /// <param name="values">Evenly spaced, at least two blocks' worth; else the result is unknown.</param>
    /// <param name="step">Resolution: adds a rectangular distribution of that width (GUM F.2.2.1).</param>
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
        double rounding = step * step / 12;
        double variance = scatter + rounding;
        // Effective degrees of freedom (Welch-Satterthwaite, GUM G.4.1): the rounding is known for certain.
        double freedom =
            scatter > 0 ? (Blocks - 1) * (variance / scatter) * (variance / scatter) : double.MaxValue;
        return new(Mean(values), Coverage.Factor(freedom) * Math.Sqrt(variance));
    }

    public static double Mean(ReadOnlySpan<double> values)
    {
        double sum = 0;
        foreach (double value in values)
            sum += value;
        return sum / values.Length;
    }
}
