using System.Globalization;

namespace Dancerwatch.Signals.FilmPath;

/// <summary>
/// The verdict in one sentence. It says the numbers that weighed most, or, where nothing speaks against the unwind, those
/// that clear it; never a number that is not known.
/// </summary>
internal static class FilmPathText
{
    public static string Of(in FilmPathEstimate e) =>
        e.Verdict switch
        {
            FilmPathVerdict.AccumulatorFirst => "Accumulator first: " + Against(e) + ".",
            FilmPathVerdict.LookElsewhere => "Look elsewhere: " + InFavour(e) + ".",
            _ => Format(
                "Not enough data: the machine ran for {0:0.0} of the last 15 min; {1:0} are needed.",
                e.RunningMinutes,
                FilmPathSigns.LeastMinutes
            ),
        };

    /// <summary>The strongest sign, the next one where it weighs at least half as much, and what the edge says.</summary>
    private static string Against(in FilmPathEstimate e)
    {
        Span<double> weights = stackalloc double[FilmPathSigns.Count];
        FilmPathSigns.Weigh(e, weights);
        FilmPathSign first = Strongest(weights);
        double most = weights[(int)first];
        weights[(int)first] = 0;
        FilmPathSign second = Strongest(weights);
        string told = Say(first, e);
        if (weights[(int)second] >= 0.5 * most)
            told += ", and " + Say(second, e);
        return
            first == FilmPathSign.Edge
            || (second == FilmPathSign.Edge && weights[(int)second] >= 0.5 * most)
            || !e.Edge.IsKnown
            ? told
            : told + "; " + Say(FilmPathSign.Edge, e);
    }

    private static string InFavour(in FilmPathEstimate e)
    {
        string told = Format(
            "fill was within 10 % of an end for {0:0.#} % of {1:0} min of running",
            100 * e.NearEndShare,
            e.RunningMinutes
        );
        if (e.Stops > 0 && double.IsFinite(e.OverrunStops))
            told += Format(", the roll ran on at {0:0} of {1} stops", e.OverrunStops, e.Stops);
        if (double.IsFinite(e.ExtraLackPercent))
            told += Format(
                ", the unwind falls short by {0:0.0} % more than at its best",
                Math.Max(0, e.ExtraLackPercent)
            );
        return told + (e.Edge.IsKnown ? ", and " + Edge(e.Edge) : "; nothing is known of the film's edge");
    }

    private static FilmPathSign Strongest(ReadOnlySpan<double> weights)
    {
        int best = 0;
        for (int i = 1; i < weights.Length; i++)
            best = weights[i] > weights[best] ? i : best;
        return (FilmPathSign)best;
    }

    private static string Say(FilmPathSign sign, in FilmPathEstimate e) =>
        sign switch
        {
            FilmPathSign.NearEnd => Format(
                "fill was within 10 % of {0} for {1:0} % of the last {2:0} min of running",
                e.NearFullShare > e.NearEmptyShare ? "full" : "empty",
                100 * Math.Max(e.NearFullShare, e.NearEmptyShare),
                e.RunningMinutes
            ),
            FilmPathSign.Overrun => Format(
                "after a stop the roll ran on by {0:0} % of fill",
                e.LargestOverrunPercent
            ),
            FilmPathSign.Slack => Format(
                "at {0} of {1} stops the roll gave film past full, where nothing holds it taut",
                e.SlackStops,
                e.Stops
            ),
            FilmPathSign.Swing => Format(
                "fill swings by {0:0.#} % either way at {1:0.000} Hz beside the cycle",
                e.SwingPercent,
                e.SwingHz
            ),
            FilmPathSign.Reversals => Format(
                "the dancer suddenly turned round {0:0} times in a minute, its cycle's swing taken out",
                e.MostReversals
            ),
            FilmPathSign.Wide => Format(
                "fill, its cycle's swing taken out, went through {0:0} % within a minute",
                e.WidestMinutePercent
            ),
            FilmPathSign.Lack => Format(
                "the unwind falls short of what it is asked for by {0:0} % more than at its best",
                e.ExtraLackPercent
            ),
            FilmPathSign.Edge => Edge(e.Edge),
            _ => throw new ArgumentOutOfRangeException(nameof(sign), sign, "not a sign"),
        };

    private static string Edge(in EdgeFinding edge) =>
        !edge.IsSignificant
            ? Format(
                "the film's edge wanders by {0:0.00} mm without fill (coherence {1:0.00} at {2:0.000} Hz, by chance up to {3:0.00})",
                edge.WanderMillimeters,
                edge.Coherence,
                edge.FrequencyHz,
                edge.ByChance
            )
            : Format(
                "{0}{1:0} % of the film edge's wander of {2:0.00} mm goes with fill (coherence {3:0.00} at {4:0.000} Hz, by chance up to {5:0.00})",
                edge.IsLed ? "" : "only ",
                100 * edge.LedShare,
                edge.WanderMillimeters,
                edge.Coherence,
                edge.FrequencyHz,
                edge.ByChance
            );

    private static string Format(string format, params ReadOnlySpan<object?> values) =>
        string.Format(CultureInfo.InvariantCulture, format, values);
}
