using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Signals.Bands;

/// <summary>
/// Percentiles of fill over a sliding window of running time, %. Definition: inverse of the empirical distribution
/// function, Hyndman &amp; Fan (1996) type 1: the smallest value with at least p of the readings at or below it; so each is
/// a fill that was really read. All NaN while <paramref name="Count"/> is 0.
/// </summary>
/// <param name="Count">Readings in the window.</param>
public readonly record struct BandEstimate(
    double P01,
    double P05,
    double P25,
    double P50,
    double P75,
    double P95,
    double P99,
    int Count
)
{
    /// <summary>Of the gaps counted, by the set points of now.</summary>
    /// <param name="counts">How often each gap code was read.</param>
    /// <param name="scale">Turns a gap into a fill.</param>
    /// <param name="gapMinimum">Gap of code 0.</param>
    /// <param name="gapResolution">Gap of one code.</param>
    internal static BandEstimate Of(
        GapCounts counts,
        FillScale scale,
        double gapMinimum,
        double gapResolution
    )
    {
        if (counts.Count == 0)
        {
            const double none = double.NaN;
            return new BandEstimate(none, none, none, none, none, none, none, 0);
        }
        return new BandEstimate(
            Fill(1),
            Fill(5),
            Fill(25),
            Fill(50),
            Fill(75),
            Fill(95),
            Fill(99),
            counts.Count
        );

        double Fill(int percent)
        {
            // Whole numbers, so that the rank is exact: ceil(n p), at least 1.
            long count = counts.Count;
            int rank = (int)(((count * percent) + 99) / 100);
            // Where fill falls as the gap rises, the k-th smallest fill is the k-th largest gap.
            int smallest = scale.RisesWithGap ? rank : (int)count + 1 - rank;
            return scale.PercentAt(gapMinimum + (gapResolution * counts.Smallest(smallest)));
        }
    }
}
