namespace Dancerwatch.EdgeAgent.Discovery;

/// <summary>
/// A tag's name taken into words: at dots, colons, brackets, underscores, where small letters become capital, where letters
/// meet digits, and within what is written in one, such as <c>UNWSPD</c>, where known words make it up.
/// </summary>
internal static class NameWords
{
    /// <summary>Shorter pieces are found in every word.</summary>
    private const int ShortestPiece = 3;

    public static IReadOnlyList<NameWord> Of(string name)
    {
        List<NameWord> words = [];
        int start = 0;
        while (start < name.Length)
        {
            if (!char.IsAsciiLetterOrDigit(name[start]))
            {
                start++;
                continue;
            }
            int end = start + 1;
            while (end < name.Length && Continues(name, start, end))
                end++;
            Add(words, name, start, end);
            start = end;
        }
        return words;
    }

    private static bool Continues(string name, int start, int at)
    {
        (char before, char here) = (name[at - 1], name[at]);
        if (!char.IsAsciiLetterOrDigit(here) || char.IsAsciiDigit(before) != char.IsAsciiDigit(here))
            return false;
        if (char.IsAsciiDigit(here) || !char.IsAsciiLetterUpper(here))
            // A capital before small letters begins their word: SPDAct is SPD and Act.
            return !(char.IsAsciiLetterLower(here) && char.IsAsciiLetterUpper(before) && at - 1 > start);
        if (!char.IsAsciiLetterUpper(before))
            return false;
        return at + 1 >= name.Length || !char.IsAsciiLetterLower(name[at + 1]);
    }

    private static void Add(List<NameWord> words, string name, int start, int end)
    {
        string text = name[start..end].ToLowerInvariant();
        if (char.IsAsciiDigit(text[0]))
        {
            string number = text.TrimStart('0');
            words.Add(new NameWord(number.Length > 0 ? number : "0", start, end, null));
            return;
        }
        if (WordBook.Of(text) is null && Pieces(text) is { } pieces)
        {
            foreach (string piece in pieces)
            {
                words.Add(new NameWord(piece, start, start + piece.Length, WordBook.Of(piece)));
                start += piece.Length;
            }
            return;
        }
        words.Add(new NameWord(text, start, end, WordBook.Of(text)));
    }

    /// <summary>Two or more known words that make up the whole of it, the longest first; null where there are none.</summary>
    private static List<string>? Pieces(string text)
    {
        for (int length = text.Length - ShortestPiece; length >= ShortestPiece; length--)
        {
            string piece = text[..length];
            string rest = text[length..];
            if (!WordBook.Knows(piece))
                continue;
            if (WordBook.Knows(rest))
                return [piece, rest];
            if (Pieces(rest) is { } more)
                return [piece, .. more];
        }
        return null;
    }
}
