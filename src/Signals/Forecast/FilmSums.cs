namespace Dancerwatch.Signals.Forecast;

/// <summary>Time integrals since the start, %*s and m/min*s; the difference of two moments over their distance is a mean.</summary>
internal readonly record struct FilmSum(double Fill, double Unwind, double Line)
{
    public static FilmSum operator -(FilmSum later, FilmSum earlier) =>
        new(later.Fill - earlier.Fill, later.Unwind - earlier.Unwind, later.Line - earlier.Line);

    public static FilmSum operator /(FilmSum sum, double seconds) =>
        new(sum.Fill / seconds, sum.Unwind / seconds, sum.Line / seconds);
}

/// <summary>
/// Time integrals of fill, unwind speed and line speed over the last seconds, so that a mean between any two moments is one
/// subtraction: the mean over exactly one machine cycle has no trace of the cycle's own swing.
/// </summary>
/// <remarks>Trapezoid rule between readings, straight line within. O(1) a look-up on evenly timed readings; memory fixed.</remarks>
/// <param name="capacity">Readings kept, 2 or more.</param>
internal sealed class FilmSums(int capacity)
{
    private readonly (double Seconds, FilmSum Sum)[] _ring = new (double, FilmSum)[capacity];
    private int _next;
    private int _count;
    private double _fill;
    private double _unwind;
    private double _line;

    /// <summary>Seconds covered, from the oldest kept reading to the newest.</summary>
    public double CoveredSeconds => _count < 2 ? 0 : Back(0).Seconds - Back(_count - 1).Seconds;

    public void Clear() => _count = 0;

    /// <param name="seconds">Time, s; rising.</param>
    /// <param name="fill">Fill, %; finite.</param>
    /// <param name="unwind">Unwind speed, m/min; finite.</param>
    /// <param name="line">Line speed, m/min; 0 where it is not read.</param>
    public void Add(double seconds, double fill, double unwind, double line)
    {
        FilmSum sum = default;
        if (_count > 0)
        {
            (double before, FilmSum last) = Back(0);
            double half = (seconds - before) / 2;
            sum = new FilmSum(
                last.Fill + half * (fill + _fill),
                last.Unwind + half * (unwind + _unwind),
                last.Line + half * (line + _line)
            );
        }
        _ring[_next] = (seconds, sum);
        _next = _next + 1 == capacity ? 0 : _next + 1;
        _count = Math.Min(_count + 1, capacity);
        (_fill, _unwind, _line) = (fill, unwind, line);
    }

    /// <summary>The integrals <paramref name="back"/> seconds before the newest reading, at most <see cref="CoveredSeconds"/>.</summary>
    public FilmSum At(double back)
    {
        double wanted = Back(0).Seconds - back;
        double step = CoveredSeconds / (_count - 1);
        int i = Math.Clamp((int)(back / step), 0, _count - 2);
        while (i > 0 && Back(i).Seconds < wanted)
            i--;
        while (i < _count - 2 && Back(i + 1).Seconds > wanted)
            i++;
        (double later, FilmSum laterSum) = Back(i);
        (double earlier, FilmSum earlierSum) = Back(i + 1);
        double share = (wanted - earlier) / (later - earlier);
        FilmSum between = laterSum - earlierSum;
        return new FilmSum(
            earlierSum.Fill + share * between.Fill,
            earlierSum.Unwind + share * between.Unwind,
            earlierSum.Line + share * between.Line
        );
    }

    /// <summary>Means from <paramref name="fromBack"/> to <paramref name="toBack"/> seconds before the newest reading; NaN where not covered.</summary>
    public FilmSum Mean(double fromBack, double toBack) =>
        fromBack > CoveredSeconds + 1e-9
            ? new FilmSum(double.NaN, double.NaN, double.NaN)
            : (At(toBack) - At(fromBack)) / (fromBack - toBack);

    private ref readonly (double Seconds, FilmSum Sum) Back(int back)
    {
        int place = _next - 1 - back;
        return ref _ring[place < 0 ? place + capacity : place];
    }
}
