namespace Dancerwatch.Signals.Fill;

/// <summary>
/// The shape of a curved cam: a broken line from straight fill (what the gap alone says, %) to true fill (%), extended in a
/// straight line beyond its ends, so that overtravel keeps its meaning. Strictly rising, hence each true fill has one gap.
/// Cost per fill: a search among the pairs; nothing allocated.
/// </summary>
internal sealed class CamCurve
{
    private readonly double[] _straight;
    private readonly double[] _true;

    /// <param name="pairs">At least two, finite, strictly rising in both.</param>
    /// <exception cref="ArgumentException">A pair cannot be used; the message names it.</exception>
    public CamCurve(IReadOnlyList<(double StraightPercent, double TruePercent)> pairs)
    {
        if (pairs.Count < 2)
        {
            throw new ArgumentException(
                $"Cam has {pairs.Count} pair. Allowed: none, or at least 2. Try (0, 0) and (100, 100) with measured pairs between.",
                nameof(pairs)
            );
        }
        for (int i = 0; i < pairs.Count; i++)
        {
            (double straight, double real) = pairs[i];
            if (!double.IsFinite(straight) || !double.IsFinite(real))
                throw Refusal(pairs, i, "Allowed: finite numbers", "Leave out what was not measured.");
            if (i == 0)
                continue;
            if (straight <= pairs[i - 1].StraightPercent || real <= pairs[i - 1].TruePercent)
            {
                string before = $"({pairs[i - 1].StraightPercent}, {pairs[i - 1].TruePercent})";
                throw Refusal(
                    pairs,
                    i,
                    $"Allowed: both above those of the pair before, {before}",
                    "Sort the pairs by straight fill and leave out doubles; a cam that turns back cannot tell fill."
                );
            }
        }
        _straight = [.. pairs.Select(pair => pair.StraightPercent)];
        _true = [.. pairs.Select(pair => pair.TruePercent)];
    }

    /// <summary>True fill, %, of a straight one, %; NaN of NaN.</summary>
    public double TruePercent(double straight)
    {
        int above = 1;
        while (above < _straight.Length - 1 && straight > _straight[above])
            above++;
        int below = above - 1;
        double slope = (_true[above] - _true[below]) / (_straight[above] - _straight[below]);
        return _true[below] + (slope * (straight - _straight[below]));
    }

    private static ArgumentException Refusal(
        IReadOnlyList<(double StraightPercent, double TruePercent)> pairs,
        int i,
        string allowed,
        string advice
    ) =>
        new(
            $"Cam[{i}] is ({pairs[i].StraightPercent}, {pairs[i].TruePercent}). {allowed}. {advice}",
            nameof(pairs)
        );
}
