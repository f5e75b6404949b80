using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>The dancer let through its whole travel, from stop to stop: from empty up to full and down again.</summary>
/// <param name="Up">On the way up, film coming in.</param>
/// <param name="Down">On the way down.</param>
/// <param name="LowestGap">Over all of it: the gap that is left at the end where the sensor is nearest.</param>
/// <param name="HighestGap">Over all of it.</param>
/// <param name="PinnedLowShare">Share of the film of the way up that moved the dancer while the gap stayed at its lowest.</param>
/// <param name="PinnedHighShare">Likewise at its highest.</param>
/// <param name="FilmAgainstHolds">Film came in while the gap went from full to empty as they were held: the holds have each other's names.</param>
public sealed record Travel(
    IReadOnlyList<Block> Up,
    IReadOnlyList<Block> Down,
    double LowestGap,
    double HighestGap,
    double PinnedLowShare,
    double PinnedHighShare,
    bool FilmAgainstHolds
)
{
    /// <summary>More film than this came in one way, and less than half of it the other: the way up is known, mm.</summary>
    private const double TellingFilmMillimeters = 20;

    // Where the dancer has arrived at an end of this travel, as share of the span; it trembles there.
    private const double EndShare = 0.005;

    /// <param name="readings">From rest at the empty stop to rest at the empty stop.</param>
    /// <param name="gapAtEmpty">As held.</param>
    /// <param name="gapAtFull">As held.</param>
    /// <param name="step">Resolution of the gap.</param>
    /// <returns>Null where too little was read.</returns>
    internal static Travel? Of(
        IReadOnlyList<Reading> readings,
        double gapAtEmpty,
        double gapAtFull,
        double step
    )
    {
        List<Block> blocks = Block.Of(readings);
        if (blocks.Count < 10)
            return null;
        double[] place = [.. blocks.Select(block => (block.Gap - gapAtEmpty) / (gapAtFull - gapAtEmpty))];
        bool startsAtFull = place[0] > 0.5;
        if (startsAtFull)
            place = [.. place.Select(share => 1 - share)];
        double top = place.Max() - EndShare;
        int firstTop = Array.FindIndex(place, share => share >= top);
        int lastTop = Array.FindLastIndex(place, share => share >= top);
        double bottomBefore = place[..(firstTop + 1)].Min() + EndShare;
        int begin = Array.FindLastIndex(place, firstTop, share => share <= bottomBefore);
        double bottomAfter = place[lastTop..].Min() + EndShare;
        int end = Array.FindIndex(place, lastTop, share => share <= bottomAfter);
        List<Block> away = blocks[begin..(firstTop + 1)];
        List<Block> back = blocks[lastTop..(end + 1)];
        bool isBackUp = startsAtFull && !Telling(away, back);
        double[] gaps = [.. readings.Select(one => one[Signal.Gap]).Where(double.IsFinite)];
        (double lowest, double highest) = (gaps.Min(), gaps.Max());
        List<Block> way = isBackUp ? blocks[lastTop..] : blocks[..(lastTop + 1)];
        return new Travel(
            isBackUp ? back : away,
            isBackUp ? away : back,
            lowest,
            highest,
            Pinned(way, gap => gap < lowest + step),
            Pinned(way, gap => gap > highest - step),
            FilmAgainstHolds: startsAtFull ? Telling(away, back) : Telling(back, away)
        );
    }

    private static bool Telling(List<Block> one, List<Block> other) =>
        Film(one) > TellingFilmMillimeters && Film(one) > 2 * Film(other);

    private static double Film(List<Block> way) => way[^1].FilmMillimeters - way[0].FilmMillimeters;

    private static double Pinned(List<Block> way, Func<double, bool> isAtEnd)
    {
        double film = Film(way);
        double pinned = 0;
        for (int i = 1; i < way.Count; i++)
        {
            if (isAtEnd(way[i].Gap))
                pinned += way[i].FilmMillimeters - way[i - 1].FilmMillimeters;
        }
        return film > 0 ? pinned / film : 0;
    }
}
