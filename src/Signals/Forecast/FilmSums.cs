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
    private double _perSecond; // readings, on average over those kept

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
        _perSecond = (_count - 1) / CoveredSeconds;
    }

    /// <summary>The integrals at the newest reading; there are two at least.</summary>
    public FilmSum Newest => Between(0, 1);

    /// <summary>The integrals <paramref name="back"/> seconds before the newest reading, at most <see cref="CoveredSeconds"/>.</summary>
    public FilmSum At(double back)
    {
        double wanted = Back(0).Seconds - back;
        int oldest = _count - 2;
        int i = Math.Clamp((int)(back * _perSecond), 0, oldest);
        // Uneven polls put it a reading to either side: two steps without a jump, which would be guessed wrong every other time.
        i = Math.Max(0, i - (Back(i).Seconds < wanted ? 1 : 0));
        i = Math.Min(oldest, i + (Back(i + 1).Seconds > wanted ? 1 : 0));
        while (i > 0 && Back(i).Seconds < wanted)
            i--;
        while (i < oldest && Back(i + 1).Seconds > wanted)
            i++;
        double earlier = Back(i + 1).Seconds;
        return Between(i, (wanted - earlier) / (Back(i).Seconds - earlier));
    }

    /// <summary>Means from <paramref name="fromBack"/> to <paramref name="toBack"/> seconds before the newest reading; NaN where not covered.</summary>
    public FilmSum Mean(double fromBack, double toBack) =>
        fromBack > CoveredSeconds + 1e-9
            ? new FilmSum(double.NaN, double.NaN, double.NaN)
            : (At(toBack) - At(fromBack)) / (fromBack - toBack);

    /// <summary>At a share of the way from the reading before one to that one, which is so many before the newest.</summary>
    private FilmSum Between(int back, double share)
    {
        ref readonly FilmSum earlier = ref Back(back + 1).Sum;
        FilmSum between = Back(back).Sum - earlier;
        return new FilmSum(
            earlier.Fill + share * between.Fill,
            earlier.Unwind + share * between.Unwind,
            earlier.Line + share * between.Line
        );
    }

    private ref readonly (double Seconds, FilmSum Sum) Back(int back)
    {
        int place = _next - 1 - back;
        return ref _ring[place < 0 ? place + capacity : place];
    }
}
