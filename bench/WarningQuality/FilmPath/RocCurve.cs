namespace Dancerwatch.Bench.WarningQuality.FilmPath;

/// <summary>How well a score tells two kinds apart.</summary>
internal static class RocCurve
{
    /// <summary>
    /// Area under the ROC curve: chance that one of <paramref name="positives"/> scores above one of
    /// <paramref name="negatives"/>, ties counting half (Mann and Whitney 1947). 0.5 is a coin, 1 is perfect; NaN where either is empty.
    /// </summary>
    public static double Area(IReadOnlyCollection<double> positives, IReadOnlyCollection<double> negatives)
    {
        double above = 0;
        foreach (double positive in positives)
        {
            foreach (double negative in negatives)
                above +=
                    positive > negative ? 1
                    : positive == negative ? 0.5
                    : 0;
        }
        return above / ((double)positives.Count * negatives.Count);
    }
}
