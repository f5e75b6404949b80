using System.Numerics;
using System.Runtime.InteropServices;

namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// The slopes between all points of a window. A point that comes overwrites the slopes of the one whose place it takes, and
/// the median is looked for from the one before, which is seldom more than a few ranks away: each step is a pass over the
/// slopes, several at once and without a jump. Against slopes kept in order it bought 7 % of the analysis of a reading, and
/// 4 us of the worst. Memory: 16 B a slope.
/// </summary>
internal sealed class PairwiseSlopes
{
    /// <summary>Further away than this many ranks, selecting anew is quicker.</summary>
    private const int FarRanks = 12;

    private readonly Vector<double>[] _slopes; // NaN, which no comparison finds, where there is none
    private readonly double[] _scratch;
    private double _median;

    /// <param name="points">Places of points, taken one after the other and then again from the first.</param>
    public PairwiseSlopes(int points)
    {
        _scratch = new double[PairsOf(points)];
        _slopes = new Vector<double>[(PairsOf(points) / Vector<double>.Count) + 1];
        Clear();
    }

    public void Clear() => Array.Fill(_slopes, new Vector<double>(double.NaN));

    /// <summary>Sets the slope between the points at two places.</summary>
    public void Set(int place, int other, double slope) =>
        All[PairsOf(Math.Max(place, other)) + Math.Min(place, other)] = slope;

    /// <summary>The lower median of the slopes between the points at the first so many places, two at least.</summary>
    public double Median(int points)
    {
        Span<double> slopes = _scratch.AsSpan(0, PairsOf(points));
        int rank = (slopes.Length - 1) / 2;
        int below = CountBelow(_median);
        if (Math.Abs(rank - below) > FarRanks)
        {
            All[..slopes.Length].CopyTo(slopes);
            return _median = Forecast.Median.Of(slopes);
        }
        for (; below > rank; below = CountBelow(_median))
            _median = LargestBelow(_median);
        // Each step is a rank at least: the bound is for slopes that are no numbers.
        for (int step = 0; step <= FarRanks; step++)
        {
            double next = Math.BitIncrement(_median);
            if (CountBelow(next) > rank)
                break;
            _median = SmallestFrom(next);
        }
        return _median;
    }

    private Span<double> All => MemoryMarshal.Cast<Vector<double>, double>(_slopes.AsSpan());

    private static int PairsOf(int points) => points * (points - 1) / 2;

    private int CountBelow(double limit)
    {
        Vector<long> found = default;
        foreach (Vector<double> slopes in _slopes)
            found -= Vector.LessThan(slopes, new Vector<double>(limit)); // -1 where it is so
        return (int)Vector.Sum(found);
    }

    private double LargestBelow(double limit)
    {
        Vector<double> largest = new(double.NegativeInfinity);
        foreach (Vector<double> slopes in _slopes)
        {
            Vector<long> isLarger =
                Vector.LessThan(slopes, new Vector<double>(limit)) & Vector.GreaterThan(slopes, largest);
            largest = Vector.ConditionalSelect(isLarger, slopes, largest);
        }
        double found = double.NegativeInfinity;
        for (int i = 0; i < Vector<double>.Count; i++)
            found = Math.Max(found, largest[i]);
        return found;
    }

    private double SmallestFrom(double limit)
    {
        Vector<double> smallest = new(double.PositiveInfinity);
        foreach (Vector<double> slopes in _slopes)
        {
            Vector<long> isSmaller =
                Vector.GreaterThanOrEqual(slopes, new Vector<double>(limit))
                & Vector.LessThan(slopes, smallest);
            smallest = Vector.ConditionalSelect(isSmaller, slopes, smallest);
        }
        double found = double.PositiveInfinity;
        for (int i = 0; i < Vector<double>.Count; i++)
            found = Math.Min(found, smallest[i]);
        return found;
    }
}
