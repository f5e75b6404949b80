using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Discovery;

/// <summary>Finds the tags of a controller that may be signals by their names and types.</summary>
internal static class Candidates
{
    /// <summary>An array of more is a history or a table, not a value for each machine.</summary>
    private const int MostElements = 64;

    public static List<Candidate> Of(IEnumerable<BrowsedTag> tags)
    {
        List<Candidate> found = [];
        foreach (BrowsedTag tag in tags)
        {
            if (tag.Type is not { } type || tag.Length is < 0 or > MostElements)
                continue;
            if (tag.Length == 0)
                Add(found, tag.Name, type);
            for (int i = 0; i < tag.Length; i++)
                Add(found, $"{tag.Name}[{i}]", type);
        }
        return found;
    }

    private static void Add(List<Candidate> found, string name, TagType type)
    {
        IReadOnlyList<NameWord> words = NameWords.Of(name);
        foreach ((Signal signal, NameFit fit) in SignalNames.Of(name, words))
        {
            if (!SignalNames.Fits(signal, type))
                continue;
            (double scale, string? unit) = UnitWords.Of(signal, words);
            bool isReversed = signal == Signal.BrakeOn && words.Any(word => word.Sense == Sense.Released);
            found.Add(
                new Candidate(
                    signal,
                    new TagRequest(name, type),
                    fit,
                    string.Join(' ', words.Where(word => word.Sense is null).Select(word => word.Text)),
                    string.Join(
                        ", ",
                        words
                            .Where(word => word.Sense is not (null or Sense.Nothing))
                            .Select(word => word.Text)
                            .Distinct()
                    ),
                    isReversed ? -1 : scale,
                    isReversed ? 1 : 0,
                    unit
                )
            );
        }
    }
}
