namespace Dancerwatch.Bench.WarningQuality.Scores;

/// <summary>Order statistics of a few numbers.</summary>
internal static class Quantile
{
    /// <summary>Type 7 of Hyndman and Fan 1996, as R's default (from memory); NaN of nothing.</summary>
    public static double Of(IEnumerable<double> values, double share)
    {
        double[] sorted = [.. values.Order()];
        if (sorted.Length == 0)
            return double.NaN;
        double place = share * (sorted.Length - 1);
        int below = (int)place;
        int above = Math.Min(below + 1, sorted.Length - 1);
        return sorted[below] + ((place - below) * (sorted[above] - sorted[below]));
    }

    public static double Median(IEnumerable<double> values) => Of(values, 0.5);
}
