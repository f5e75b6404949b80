using System.Runtime.Intrinsics;

namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// Time integrals of fill, unwind speed and line speed up to a moment, %*s and m/min*s; the difference of two over their
/// distance is a mean. All of it in two pairs of numbers, each reckoned with at once; that, and places that are kept where moments
/// are looked up at each reading, bought 7 % of the analysis.
/// </summary>
internal readonly struct FilmSum
{
    private readonly Vector128<double> _fillAndUnwind;
    private readonly Vector128<double> _lineAndSeconds;

    private FilmSum(Vector128<double> fillAndUnwind, Vector128<double> lineAndSeconds)
    {
        _fillAndUnwind = fillAndUnwind;
        _lineAndSeconds = lineAndSeconds;
    }

    public FilmSum(double fill, double unwind, double line, double seconds)
        : this(Vector128.Create(fill, unwind), Vector128.Create(line, seconds)) { }

    public static FilmSum Unknown => new(double.NaN, double.NaN, double.NaN, double.NaN);

    public double Fill => _fillAndUnwind[0];
    public double Unwind => _fillAndUnwind[1];
    public double Line => _lineAndSeconds[0];

    /// <summary>The moment, s: the integral of 1.</summary>
    public double Seconds => _lineAndSeconds[1];

    public static FilmSum operator +(in FilmSum a, in FilmSum b) =>
        new(a._fillAndUnwind + b._fillAndUnwind, a._lineAndSeconds + b._lineAndSeconds);

    public static FilmSum operator -(in FilmSum later, in FilmSum earlier) =>
        new(later._fillAndUnwind - earlier._fillAndUnwind, later._lineAndSeconds - earlier._lineAndSeconds);

    public static FilmSum operator *(double factor, in FilmSum sum) =>
        new(factor * sum._fillAndUnwind, factor * sum._lineAndSeconds);

    public static FilmSum operator /(in FilmSum sum, double seconds) =>
        new(sum._fillAndUnwind / seconds, sum._lineAndSeconds / seconds);
}
