namespace Dancerwatch.EdgeAgent.Discovery;

/// <summary>A tag's name with a gap where the machine's own words stand, so that machines that are alike share it.</summary>
/// <param name="Pattern">The name with <c>{tags}</c> for the machine's words; the name itself where it has none, or has them in two places.</param>
/// <param name="Own">The machine's words as they stand in the name; null where <paramref name="Pattern"/> is the name.</param>
internal readonly record struct TagPattern(string Pattern, string? Own)
{
    public const string Word = "tags";

    public static TagPattern Of(string name)
    {
        IReadOnlyList<NameWord> words = NameWords.Of(name);
        int first = -1;
        int last = -1;
        for (int i = 0; i < words.Count; i++)
        {
            if (words[i].Sense is not null)
                continue;
            if (first >= 0 && last != i - 1)
                return new TagPattern(name, null);
            first = first < 0 ? i : first;
            last = i;
        }
        if (first < 0)
            return new TagPattern(name, null);
        (int start, int end) = (words[first].Start, words[last].End);
        // Elements of an array are named with their bracket, unless the machine is told by its number alone.
        if (name[start..end].Contains('[', StringComparison.Ordinal))
            end = name.IndexOf(']', end) + 1;
        return new TagPattern($"{name[..start]}{{{Word}}}{name[end..]}", name[start..end]);
    }
}
