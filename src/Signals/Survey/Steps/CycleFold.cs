using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>
/// How far the gap swings within one machine cycle. Piece by piece of a few cycles, a straight line and a sum of harmonics of the
/// cycle is fitted by least squares,
/// <c>gap = a + b t + sum_k (c_k cos 2 pi k f t + d_k sin 2 pi k f t)</c>, and the fitted cycle's lowest and highest are taken: so
/// noise does not widen the swing as it widens the range of raw readings, and a slow drift does not either.
/// </summary>
internal static class CycleFold
{
    private const int FewestCyclesOfPiece = 5;
    private const double ShortestPieceSeconds = 6;
    private const int FewestPieces = 3;

    /// <summary>Dancers do not follow faster than this, Hz (common practice, no source): harmonics above it are noise.</summary>
    private const double FastestHertz = 10;

    private const int MostHarmonics = 12;
    private const int PhaseSteps = 200;

    /// <param name="seconds">Time of each reading.</param>
    /// <param name="gaps">Gap of each.</param>
    /// <param name="cycleHertz">Cycles a second, as the machine counts them; NaN: looked for.</param>
    /// <returns>Mean lowest and highest of a cycle about the middle, and the swing between them, in the gap's unit; unknown where there are too few cycles.</returns>
    public static (double Hertz, double Lowest, double Highest, Uncertain Swing) Of(
        double[] seconds,
        double[] gaps,
        double cycleHertz
    )
    {
        (double, double, double, Uncertain) unknown = (double.NaN, double.NaN, double.NaN, Uncertain.Unknown);
        double length = seconds[^1] - seconds[0];
        double hertz = double.IsNaN(cycleHertz)
            ? Strongest(seconds, gaps, 0.2, 4, 0.2 / length)
            : Strongest(seconds, gaps, cycleHertz - (1 / length), cycleHertz + (1 / length), 0.05 / length);
        if (!(hertz > 0))
            return unknown;
        double piece = Math.Max(ShortestPieceSeconds, FewestCyclesOfPiece / hertz);
        int pieces = (int)(length / piece);
        if (pieces < FewestPieces)
            return unknown;
        double rate = seconds.Length / length;
        int harmonics = (int)Math.Clamp(Math.Min(FastestHertz, rate / 3) / hertz, 2, MostHarmonics);
        List<double> lows = [];
        List<double> highs = [];
        List<double> noises = [];
        for (int i = 0; i < pieces; i++)
        {
            double from = seconds[0] + (i * length / pieces);
            int first = Array.FindIndex(seconds, one => one >= from);
            int last = Array.FindLastIndex(seconds, one => one <= from + (length / pieces));
            if (Extremes(seconds[first..last], gaps[first..last], hertz, harmonics) is { } found)
            {
                lows.Add(found.Lowest);
                highs.Add(found.Highest);
                noises.Add(found.Noise);
            }
        }
        if (lows.Count < FewestPieces)
            return unknown;
        double[] swings = [.. highs.Zip(lows, (high, low) => high - low)];
        double mean = swings.Average();
        double variance = swings.Sum(swing => (swing - mean) * (swing - mean)) / (swings.Length - 1);
        double plus = Coverage.Factor(swings.Length - 1) * Math.Sqrt(variance / swings.Length);
        return (hertz, lows.Average(), highs.Average(), new Uncertain(mean, plus).With(noises.Average()));
    }

    /// <summary>The frequency whose sine fits best, Hz, to a tenth of the step.</summary>
    private static double Strongest(double[] seconds, double[] gaps, double from, double to, double step)
    {
        double mean = gaps.Average();
        double best = double.NaN;
        double power = -1;
        void Try(double hertz)
        {
            double cosine = 0;
            double sine = 0;
            // One turn of a pointer for each reading: times are near even, but not quite.
            for (int i = 0; i < gaps.Length; i++)
            {
                (double sin, double cos) = Math.SinCos(2 * Math.PI * hertz * seconds[i]);
                cosine += (gaps[i] - mean) * cos;
                sine += (gaps[i] - mean) * sin;
            }
            double its = (cosine * cosine) + (sine * sine);
            if (its > power)
                (best, power) = (hertz, its);
        }
        for (double hertz = Math.Max(from, step); hertz <= to; hertz += step)
            Try(hertz);
        double coarse = best;
        for (int i = -9; i <= 9; i++)
            Try(coarse + (i * step / 10));
        return best;
    }

    private static (double Lowest, double Highest, double Noise)? Extremes(
        double[] seconds,
        double[] gaps,
        double hertz,
        int harmonics
    )
    {
        int unknowns = 2 + (2 * harmonics);
        if (seconds.Length < 4 * unknowns)
            return null;
        double[] matrix = new double[unknowns * unknowns];
        double[] right = new double[unknowns];
        double[] row = new double[unknowns];
        double middle = (seconds[0] + seconds[^1]) / 2;
        for (int n = 0; n < seconds.Length; n++)
        {
            Row(seconds[n] - middle, hertz, row);
            for (int i = 0; i < unknowns; i++)
            {
                right[i] += row[i] * gaps[n];
                for (int j = 0; j <= i; j++)
                    matrix[(i * unknowns) + j] += row[i] * row[j];
            }
        }
        if (!NormalEquations.Solve(matrix, right))
            return null;
        // Noise lifts the highest of a fitted curve and lowers its lowest, by about what it is off at one place.
        double residuals = 0;
        for (int n = 0; n < seconds.Length; n++)
        {
            Row(seconds[n] - middle, hertz, row);
            double residual = gaps[n];
            for (int i = 0; i < unknowns; i++)
                residual -= right[i] * row[i];
            residuals += residual * residual;
        }
        double noise =
            Math.Sqrt(residuals / (seconds.Length - unknowns)) * Math.Sqrt((double)unknowns / seconds.Length);
        double lowest = double.PositiveInfinity;
        double highest = double.NegativeInfinity;
        for (int step = 0; step < PhaseSteps; step++)
        {
            Row(step / hertz / PhaseSteps, hertz, row);
            double gap = right[0];
            for (int i = 2; i < unknowns; i++)
                gap += right[i] * row[i];
            lowest = Math.Min(lowest, gap);
            highest = Math.Max(highest, gap);
        }
        return (lowest, highest, noise);
    }

    private static void Row(double seconds, double hertz, double[] row)
    {
        row[0] = 1;
        row[1] = seconds;
        for (int k = 1; 2 * k < row.Length; k++)
            (row[2 * k], row[(2 * k) + 1]) = Math.SinCos(2 * Math.PI * k * hertz * seconds);
    }
}
