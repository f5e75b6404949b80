namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// Time integrals of fill, unwind speed and line speed over the last seconds, so that a mean between any two moments is one
/// subtraction: the mean over exactly one machine cycle has no trace of the cycle's own swing.
/// </summary>
/// <remarks>Trapezoid rule between readings, straight line within. O(1) a look-up on evenly timed readings; memory fixed.</remarks>
/// <param name="capacity">Readings kept, 2 or more.</param>
internal sealed class FilmSums(int capacity)
{
    private readonly FilmSum[] _ring = new FilmSum[capacity];
    private int _next;
    private int _count;
    private double _fill;
    private double _unwind;
    private double _line;

    /// <summary>Seconds covered, from the oldest kept reading to the newest.</summary>
    public double CoveredSeconds => _count < 2 ? 0 : Newest.Seconds - _ring[Oldest].Seconds;

    /// <summary>The integrals at the newest reading; there is one at least.</summary>
    public ref readonly FilmSum Newest => ref _ring[Before(_next)];

    /// <summary>Place of the oldest reading kept.</summary>
    private int Oldest => _count < capacity ? 0 : _next;

    /// <summary>Readings to come are no neighbours of those before.</summary>
    public void Clear() => _count = _next = 0;

    /// <param name="seconds">Time, s; rising.</param>
    /// <param name="fill">Fill, %; finite.</param>
    /// <param name="unwind">Unwind speed, m/min; finite.</param>
    /// <param name="line">Line speed, m/min; 0 where it is not read.</param>
    public void Add(double seconds, double fill, double unwind, double line)
    {
        FilmSum sum = new(0, 0, 0, seconds);
        if (_count > 0)
        {
            ref readonly FilmSum last = ref Newest;
            double half = (seconds - last.Seconds) / 2;
            sum = new FilmSum(
                last.Fill + half * (fill + _fill),
                last.Unwind + half * (unwind + _unwind),
                last.Line + half * (line + _line),
                seconds
            );
        }
        _ring[_next] = sum;
        _next = After(_next);
        _count = Math.Min(_count + 1, capacity);
        (_fill, _unwind, _line) = (fill, unwind, line);
    }

    /// <summary>The integrals <paramref name="back"/> seconds before the newest reading, at most <see cref="CoveredSeconds"/>.</summary>
    public FilmSum At(double back)
    {
        int evenly = Math.Min((int)(back * (_count - 1) / CoveredSeconds), _count - 2);
        int place = _next - 1 - evenly;
        place = place < 0 ? place + capacity : place;
        return At(back, ref place);
    }

    /// <summary>The same, looked for from a place on: that of the look before, where a moment is looked up at each reading.</summary>
    /// <param name="back">Before the newest reading, s; at most <see cref="CoveredSeconds"/>.</param>
    /// <param name="place">Of the reading at or after that moment; 0 after <see cref="Clear"/>.</param>
    public FilmSum At(double back, ref int place)
    {
        // By rounding it may lie before the oldest reading: nothing is looked for there.
        int oldest = Oldest;
        double wanted = Math.Max(Newest.Seconds - back, _ring[oldest].Seconds);
        int at = place;
        // Uneven polls put it up to two readings on: steps without a jump, which would be guessed wrong every other time.
        at = _ring[at].Seconds < wanted ? After(at) : at;
        at = _ring[at].Seconds < wanted ? After(at) : at;
        while (_ring[at].Seconds < wanted)
            at = After(at);
        at = at == oldest ? After(at) : at;
        int before = Before(at);
        while (_ring[before].Seconds > wanted)
        {
            at = before;
            before = Before(at);
        }
        place = at;
        ref readonly FilmSum earlier = ref _ring[before];
        FilmSum between = _ring[at] - earlier;
        return earlier + ((wanted - earlier.Seconds) / between.Seconds) * between;
    }

    /// <summary>Means from <paramref name="fromBack"/> to <paramref name="toBack"/> seconds before the newest reading; NaN where not covered.</summary>
    public FilmSum Mean(double fromBack, double toBack) =>
        fromBack > CoveredSeconds + 1e-9
            ? FilmSum.Unknown
            : (At(toBack) - At(fromBack)) / (fromBack - toBack);

    private int After(int place) => place + 1 == capacity ? 0 : place + 1;

    private int Before(int place) => place == 0 ? capacity - 1 : place - 1;
}
