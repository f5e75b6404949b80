namespace Dancerwatch.Signals.Statistics;

/// <summary>What is said of a few values.</summary>
public static class Sample
{
    /// <summary>The middle value, or the mean of both; NaN of none.</summary>
    /// <param name="values">Finite.</param>
    public static double Median(IEnumerable<double> values)
    {
        double[] sorted = [.. values.Order()];
        int half = sorted.Length / 2;
        return sorted.Length == 0 ? double.NaN
            : sorted.Length % 2 == 1 ? sorted[half]
            : (sorted[half - 1] + sorted[half]) / 2;
    }
}
