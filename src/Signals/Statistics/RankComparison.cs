namespace Dancerwatch.Signals.Statistics;

/// <summary>
/// Whether values tend to be larger in one of two samples: the test of Mann and Whitney (1947, Ann. Math. Stat. 18, 50) on
/// ranks, by the normal approximation with corrections for ties and for continuity. It takes the values of a sample to be
/// independent of each other; give it values far enough apart in time.
/// </summary>
/// <param name="PValue">Two-sided; 1 where all values are alike.</param>
/// <param name="Larger">Share of pairs in which the later one is larger, ties by half: 0.5 where nothing changed.</param>
/// <param name="MedianBefore">Median of the earlier sample.</param>
/// <param name="MedianAfter">Median of the later sample.</param>
public readonly record struct RankComparison(
    double PValue,
    double Larger,
    double MedianBefore,
    double MedianAfter
)
{
    /// <summary>With fewer on a side the normal approximation is not to be trusted.</summary>
    public const int FewestValues = 8;

    /// <param name="before">Finite, at least one.</param>
    /// <param name="after">Finite, at least one.</param>
    public static RankComparison Of(IReadOnlyList<double> before, IReadOnlyList<double> after)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        double n = before.Count;
        double m = after.Count;
        (double rankSum, double ties) = Ranks(before, after);
        // Pairs in which the later value is larger.
        double u = (n * m) + (n * (n + 1) / 2) - rankSum;
        double all = n + m;
        double variance = n * m / 12 * (all + 1 - (ties / (all * (all - 1))));
        double away = Math.Max(0, Math.Abs(u - (n * m / 2)) - 0.5);
        double p = variance > 0 ? Math.Min(1, 2 * Normal.Above(away / Math.Sqrt(variance))) : 1;
        return new(p, u / (n * m), Sample.Median(before), Sample.Median(after));
    }

    /// <summary>Sum of the earlier sample's ranks (mean ranks where values tie), and the sum of t^3 - t over ties of t values.</summary>
    private static (double RankSum, double Ties) Ranks(
        IReadOnlyList<double> before,
        IReadOnlyList<double> after
    )
    {
        (double Value, bool Earlier)[] sorted =
        [
            .. before.Select(value => (value, true)).Concat(after.Select(value => (value, false))).Order(),
        ];
        double rankSum = 0;
        double ties = 0;
        for (int first = 0, next; first < sorted.Length; first = next)
        {
            next = first + 1;
            while (next < sorted.Length && sorted[next].Value == sorted[first].Value)
                next++;
            double alike = next - first;
            ties += (alike * alike * alike) - alike;
            double rank = (first + 1 + next) / 2.0;
            for (int i = first; i < next; i++)
                rankSum += sorted[i].Earlier ? rank : 0;
        }
        return (rankSum, ties);
    }
}
