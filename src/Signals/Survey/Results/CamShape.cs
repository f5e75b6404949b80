using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.Signals.Survey.Results;

/// <summary>
/// From straight fill (the gap between the two ends, by rule of three) to true fill (film, by the unwind's meter): least squares
/// over the way up of a travel,
/// <c>film = start + S (s + s (1 - s) (c0 + c1 u + c2 u^2))</c>, u = 2 s - 1, with s the straight fill as a share. The ends are
/// true by definition; the bow between them may lean to either side.
/// </summary>
public sealed class CamShape
{
    /// <summary>An unwind's meter is taken as true to this share: common practice, no source. Only a tape tells better.</summary>
    public const double MeterShare = 0.01;

    private const int Bows = 3;
    private const int Unknowns = 2 + Bows;

    /// <summary>Less film than this is no metered travel, mm.</summary>
    private const double LeastFilmMillimeters = 20;

    private readonly double[] _bow;

    private CamShape(double[] bow, Uncertain storage, double scatterPercent)
    {
        _bow = bow;
        Storage = storage;
        ScatterPercent = scatterPercent;
    }

    /// <summary>A straight cam, of which nothing is known.</summary>
    public static CamShape Straight { get; } = new(new double[Bows], Uncertain.Unknown, double.NaN);

    /// <summary>Film between the ends, mm.</summary>
    public Uncertain Storage { get; }

    /// <summary>How far the film metered lies off the curve, standard deviation, % of fill; NaN where none was metered.</summary>
    public double ScatterPercent { get; }

    /// <summary>Film was metered.</summary>
    public bool IsKnown => Storage.IsKnown;

    /// <summary>True fill, %, of a straight one, %; beyond the ends both are the same.</summary>
    public double TruePercent(double straight)
    {
        double s = straight / 100;
        return s is <= 0 or >= 1 || double.IsNaN(s) ? straight : 100 * (s + Bow(s));
    }

    /// <summary>The largest departure of straight from true fill, %, with its sign: above 0 the straight line reads too full.</summary>
    public double LargestBowPercent =>
        Enumerable.Range(0, 101).Select(i => i - TruePercent(i)).MaxBy(Math.Abs);

    /// <summary>How a straight cam with these ends would differ, and a film meter that runs evenly: of the way up of a travel.</summary>
    /// <returns><see cref="Straight"/> where too little film was metered, or it does not go with the gap.</returns>
    internal static CamShape Of(IReadOnlyList<Block> up, double gapAtEmpty, double gapAtFull)
    {
        (double Share, double Film)[] points =
        [
            .. up.Select(block =>
                    ((block.Gap - gapAtEmpty) / (gapAtFull - gapAtEmpty), block.FilmMillimeters)
                )
                .Where(point => point.Item1 is >= 0 and <= 1),
        ];
        if (points.Length < 4 * Unknowns)
            return Straight;
        double[] matrix = new double[Unknowns * Unknowns];
        double[] right = new double[Unknowns];
        Span<double> row = stackalloc double[Unknowns];
        foreach ((double share, double film) in points)
        {
            Row(share, row);
            for (int i = 0; i < Unknowns; i++)
            {
                right[i] += row[i] * film;
                for (int j = 0; j < Unknowns; j++)
                    matrix[(i * Unknowns) + j] += row[i] * row[j];
            }
        }
        double[] spread = new double[Unknowns];
        spread[1] = 1;
        if (
            !NormalEquations.Solve((double[])matrix.Clone(), right)
            || !NormalEquations.Solve(matrix, spread)
            || right[1] < LeastFilmMillimeters
        )
            return Straight;
        double storage = right[1];
        (double variance, double alike) = Residuals(points, right);
        // Residuals that resemble their neighbours are worth fewer.
        double worth = (1 + alike) / (1 - alike);
        double fitted = Coverage.Normal * Math.Sqrt(variance * worth * spread[1]);
        double metered = Coverage.Normal * storage * MeterShare / Coverage.Rectangular;
        return new CamShape(
            [right[2] / storage, right[3] / storage, right[4] / storage],
            new Uncertain(storage, fitted).With(metered),
            100 * Math.Sqrt(variance) / storage
        );
    }

    private double Bow(double s)
    {
        double u = (2 * s) - 1;
        return s * (1 - s) * (_bow[0] + (u * (_bow[1] + (u * _bow[2]))));
    }

    private static void Row(double s, Span<double> row)
    {
        double u = (2 * s) - 1;
        double hump = s * (1 - s);
        row[0] = 1;
        row[1] = s;
        row[2] = hump;
        row[3] = hump * u;
        row[4] = hump * u * u;
    }

    // Variance, mm^2, and how much a residual resembles the one before it, 0 to 0.95.
    private static (double Variance, double Alike) Residuals(
        (double Share, double Film)[] points,
        double[] fit
    )
    {
        double squares = 0;
        double products = 0;
        double before = 0;
        Span<double> row = stackalloc double[Unknowns];
        foreach ((double share, double film) in points)
        {
            Row(share, row);
            double residual = film;
            for (int i = 0; i < Unknowns; i++)
                residual -= row[i] * fit[i];
            squares += residual * residual;
            products += residual * before;
            before = residual;
        }
        double alike = squares > 0 ? Math.Clamp(products / squares, 0, 0.95) : 0;
        return (squares / (points.Length - Unknowns), alike);
    }
}
