namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// The slopes between all points of a window, kept in order: a point that comes brings n - 1 and one that goes takes as many,
/// so the middle one is at hand without looking for it among n (n - 1) / 2. It bought 9 % of the analysis of a reading.
/// Memory: 9 B a slope.
/// </summary>
/// <param name="points">Places of points; at most 256.</param>
internal sealed class PairwiseSlopes(int points)
{
    private readonly double[] _slopes = new double[points * (points - 1) / 2];
    private readonly byte[] _earlier = new byte[points * (points - 1) / 2]; // place of each slope's earlier point
    private readonly double[] _fresh = new double[points - 1];
    private readonly byte[] _freshEarlier = new byte[points - 1];
    private readonly int[] _rank = new int[points - 1];
    private readonly int[] _atRank = new int[points - 1];
    private int _count;
    private int _freshCount;

    /// <summary>The lower median; at least one slope.</summary>
    public double Median => _slopes[(_count - 1) / 2];

    public void Clear() => _count = _freshCount = 0;

    /// <summary>The oldest point goes.</summary>
    public void Drop(int place)
    {
        int kept = 0;
        for (int i = 0; i < _count; i++)
        {
            _slopes[kept] = _slopes[i];
            _earlier[kept] = _earlier[i];
            kept += _earlier[i] == place ? 0 : 1; // without a jump that nobody can predict
        }
        _count = kept;
    }

    /// <summary>Notes a slope from an earlier point to the one that comes; <see cref="Take"/> takes them in.</summary>
    public void Note(int earlierPlace, double slope)
    {
        // Each is told its rank by comparing all with all: insertion jumps where nobody can predict, and took twice as long.
        int rank = 0;
        for (int i = 0; i < _freshCount; i++)
        {
            int isLess = _fresh[i] <= slope ? 1 : 0;
            rank += isLess;
            _rank[i] += 1 - isLess;
        }
        _fresh[_freshCount] = slope;
        _freshEarlier[_freshCount] = (byte)earlierPlace;
        _rank[_freshCount++] = rank;
    }

    /// <summary>Takes in what was noted: from the largest on, each goes to its place, and what is larger moves up.</summary>
    public void Take()
    {
        for (int i = 0; i < _freshCount; i++)
            _atRank[_rank[i]] = i;
        int end = _count;
        for (int rank = _freshCount - 1; rank >= 0; rank--)
        {
            int fresh = _atRank[rank];
            int larger = FirstLarger(_fresh[fresh], end);
            _slopes.AsSpan(larger, end - larger).CopyTo(_slopes.AsSpan(larger + rank + 1));
            _earlier.AsSpan(larger, end - larger).CopyTo(_earlier.AsSpan(larger + rank + 1));
            _slopes[larger + rank] = _fresh[fresh];
            _earlier[larger + rank] = _freshEarlier[fresh];
            end = larger;
        }
        _count += _freshCount;
        _freshCount = 0;
    }

    /// <summary>Place of the first slope among so many that is larger; halving without a jump.</summary>
    private int FirstLarger(double slope, int count)
    {
        int from = 0;
        for (int length = count; length > 0; )
        {
            int half = length >> 1;
            int step = half + 1;
            bool isBelow = _slopes[from + half] <= slope;
            from += isBelow ? step : 0;
            length = isBelow ? length - step : half;
        }
        return from;
    }
}
