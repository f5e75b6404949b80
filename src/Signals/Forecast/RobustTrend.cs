using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Forecast;

/// <summary>A straight line through the last points and what is left around it.</summary>
/// <param name="Level">The line at the newest point, %.</param>
/// <param name="RatePerSecond">Its slope, %/s; NaN with fewer than <see cref="RobustTrend.FewestPoints"/> points.</param>
/// <param name="RateDeviation">Standard uncertainty of the slope, %/s, widened for points that lean on their neighbours.</param>
/// <param name="Deviation">Standard deviation of the points about the line, %.</param>
/// <param name="Correlation">Correlation of a point's deviation with its neighbour's, 0 to 0.95.</param>
/// <param name="Present">Deviation of the newest point from the line, %.</param>
/// <param name="StepSeconds">Mean time between two points, s.</param>
internal readonly record struct TrendLine(
    double Level,
    double RatePerSecond,
    double RateDeviation,
    double Deviation,
    double Correlation,
    double Present,
    double StepSeconds
)
{
    public static TrendLine Unknown { get; } =
        new(double.NaN, double.NaN, double.NaN, double.NaN, double.NaN, double.NaN, double.NaN);

    /// <summary>The slope stands out of its uncertainty: 3 standard uncertainties, about 1 in 700 by chance on this side.</summary>
    public bool IsRising => RatePerSecond > 3 * RateDeviation;
}

/// <summary>
/// Robust line through the newest points of a series: slope by the median of pairwise slopes (Theil 1950, Sen 1968),
/// level by the median of what is left; up to 29 % of the points may be anything.
/// </summary>
/// <remarks>
/// Spread is 1.4826 times the median absolute deviation (Hampel 1974). Uncertainty of the slope is that of least squares,
/// s sqrt(12 / (n^3 - n)) / step, over the Theil-Sen efficiency of 0.95, times sqrt((1 + r) / (1 - r)) for neighbours
/// correlated by r (Bartlett 1946). Cost: O(n) slopes a point, some passes over all n^2 / 2 and two selections when asked; memory fixed.
/// </remarks>
/// <param name="capacity">Points kept.</param>
internal sealed class RobustTrend(int capacity)
{
    public const int FewestPoints = 12;

    private readonly double[] _seconds = new double[capacity];
    private readonly double[] _values = new double[capacity];
    private readonly double[] _left = new double[capacity];
    private readonly double[] _scratch = new double[capacity];
    private readonly PairwiseSlopes _slopes = new(capacity);
    private int _count;
    private int _next;

    public int Count => _count;

    /// <summary>Value of the newest point; there must be one.</summary>
    public double Newest => _values[Place(1)];

    public void Clear()
    {
        _count = _next = 0;
        _slopes.Clear();
    }

    public void Add(double seconds, double value)
    {
        _count = Math.Min(_count, capacity - 1);
        SetSlopes(_count, _next, seconds, value);
        _seconds[_next] = seconds;
        _values[_next] = value;
        _next = _next + 1 == capacity ? 0 : _next + 1;
        _count++;
    }

    /// <summary>Carries its points; times are as they were given.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Trnd"u8);
        ledger.Keep(_seconds.AsSpan());
        ledger.Keep(_values.AsSpan());
        _count = ledger.Keep(_count, 0, capacity);
        _next = ledger.Keep(_next, 0, capacity - 1);
        Ledger.Demand(
            _count == capacity || _next == _count,
            "a trend's points are not where they were taken"
        );
        if (!ledger.Restores)
            return;
        _slopes.Clear();
        for (int i = 1; i < _count; i++)
        {
            int at = Place(_count - i);
            SetSlopes(i, at, _seconds[at], _values[at]);
        }
    }

    /// <summary>The line through all points kept.</summary>
    public TrendLine Fit()
    {
        if (_count < FewestPoints)
            return TrendLine.Unknown;
        double rate = _slopes.Median(_count);

        double end = _seconds[Place(1)];
        for (int i = 0; i < _count; i++)
        {
            int a = Place(_count - i);
            _left[i] = _values[a] + rate * (end - _seconds[a]);
        }
        Span<double> left = _left.AsSpan(0, _count);
        double level = Median.Of(Copy(left));
        double products = 0;
        double squares = 0;
        for (int i = 0; i < left.Length; i++)
        {
            left[i] -= level;
            squares += left[i] * left[i];
            if (i > 0)
                products += left[i] * left[i - 1];
        }
        double correlation = squares > 0 ? Math.Clamp(products / squares, 0, 0.95) : 0;
        double present = left[^1];
        Span<double> distances = Copy(left);
        foreach (ref double distance in distances)
            distance = Math.Abs(distance);
        double deviation = Math.Max(1.4826 * Median.Of(distances), SmallestDeviation);

        double step = (end - _seconds[Place(_count)]) / (_count - 1);
        double n = _count;
        double rateDeviation =
            deviation
            * Math.Sqrt(12 / (n * (n * n - 1)) / 0.95 * (1 + correlation) / (1 - correlation))
            / step;
        return new TrendLine(level, rate, rateDeviation, deviation, correlation, present, step);
    }

    /// <summary>A gap read in steps cannot be known better than this, %.</summary>
    private const double SmallestDeviation = 0.05;

    /// <summary>Where the point that came so many points ago stands; 1 is the newest.</summary>
    private int Place(int ago) => _next >= ago ? _next - ago : _next - ago + capacity;

    /// <summary>Sets the slopes from so many points before a place to the point that comes there.</summary>
    private void SetSlopes(int count, int place, double seconds, double value)
    {
        for (int i = 0; i < count; i++)
        {
            int earlier = place > i ? place - 1 - i : place - 1 - i + capacity;
            _slopes.Set(place, earlier, (value - _values[earlier]) / (seconds - _seconds[earlier]));
        }
    }

    private Span<double> Copy(ReadOnlySpan<double> values)
    {
        values.CopyTo(_scratch);
        return _scratch.AsSpan(0, values.Length);
    }
}
