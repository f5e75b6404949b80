namespace Dancerwatch.Signals.FilmPath;

/// <summary>What speaks for, or against, an unwind that upsets the film.</summary>
internal enum FilmPathSign
{
    NearEnd,
    Overrun,
    Slack,
    Swing,
    Reversals,
    Wide,
    Lack,
    Edge,
}

/// <summary>
/// How far the unwind upsets the film: signs that add up. Each adds to the logarithm of the odds, from nothing at the lower
/// of two values to its full weight at the upper; weights are natural logarithms of likelihood ratios, set by judgement
/// (weights of evidence: Good 1950). The edge also speaks against: an edge that does not go with the dancer is moved by
/// something else.
/// </summary>
internal static class FilmPathSigns
{
    public const int Count = (int)FilmPathSign.Edge + 1;

    /// <summary>A machine that shows nothing: film is called about 12 times for reasons elsewhere for each time the unwind hides.</summary>
    private const double Prior = -2.5;

    private const double EdgeElsewhere = -1.5;

    /// <summary>With less running in the window nothing is said, min.</summary>
    public const double LeastMinutes = 3;

    /// <summary>The same numbers with score and verdict.</summary>
    public static FilmPathEstimate Judge(in FilmPathEstimate e)
    {
        if (e.RunningMinutes < LeastMinutes)
            return e with { Score = double.NaN, Verdict = FilmPathVerdict.NotEnoughData };
        Span<double> weights = stackalloc double[Count];
        double score = Weigh(e, weights);
        return e with
        {
            Score = score,
            Verdict = score >= 0.5 ? FilmPathVerdict.AccumulatorFirst : FilmPathVerdict.LookElsewhere,
        };
    }

    /// <summary>Fills in each sign's weight and returns the score, 0 to 1 (logistic of their sum).</summary>
    /// <param name="e">The numbers; its score is not looked at.</param>
    /// <param name="weights">One place for each sign.</param>
    public static double Weigh(in FilmPathEstimate e, Span<double> weights)
    {
        weights[(int)FilmPathSign.NearEnd] = Rise(e.NearEndShare, 0.02, 0.2, 4);
        weights[(int)FilmPathSign.Overrun] = Rise(e.LargestOverrunPercent, 2, 7, 4.5);
        weights[(int)FilmPathSign.Slack] = Rise((double)e.SlackStops / e.Stops, 0, 0.3, 3);
        weights[(int)FilmPathSign.Swing] = Rise(e.SwingPercent, 2, 8, 4.5);
        weights[(int)FilmPathSign.Reversals] = Rise(e.MostReversals, 1, 5, 4.5);
        weights[(int)FilmPathSign.Wide] = Rise(e.WidestMinutePercent, 12, 30, 3);
        weights[(int)FilmPathSign.Lack] = Rise(e.ExtraLackPercent, 4, 10, 4.5);
        weights[(int)FilmPathSign.Edge] = Edge(e.Edge);
        double sum = Prior;
        foreach (double weight in weights)
            sum += weight;
        return 1 / (1 + Math.Exp(-sum));
    }

    private static double Edge(in EdgeFinding edge) =>
        edge.IsLed ? 1 + Rise(edge.LedShare, 0.05, 0.3, 3)
        : edge.IsKnown ? EdgeElsewhere
        : 0;

    /// <summary>0 at or below <paramref name="from"/>, <paramref name="weight"/> at or above <paramref name="to"/>, straight between; 0 where nothing is known.</summary>
    private static double Rise(double value, double from, double to, double weight) =>
        value > from ? weight * Math.Min(1, (value - from) / (to - from)) : 0;
}
