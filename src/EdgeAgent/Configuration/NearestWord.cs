namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>Finds what somebody probably meant to type.</summary>
internal static class NearestWord
{
    /// <summary>A shared beginning this long is taken as "meant", e.g. pollSeconds for pollMilliseconds, INTEGER for INT.</summary>
    private const int SharedBeginning = 3;

    /// <summary>The known word closest to <paramref name="word"/>, letter case aside; null where none is close.</summary>
    public static string? Of(string word, IEnumerable<string> known)
    {
        string? nearest = null;
        int least = Math.Max(2, word.Length / 3) + 1;
        int longest = SharedBeginning - 1;
        string? sameBeginning = null;
        foreach (string candidate in known)
        {
            int edits = Edits(word, candidate);
            if (edits < least)
                (nearest, least) = (candidate, edits);
            int shared = SharedLength(word, candidate);
            if (shared > longest)
                (sameBeginning, longest) = (candidate, shared);
        }
        return nearest ?? sameBeginning;
    }

    /// <summary>Letters to insert, remove or replace (Levenshtein 1966), letter case aside; two rows of the table at a time.</summary>
    private static int Edits(string a, string b)
    {
        int[] above = [.. Enumerable.Range(0, b.Length + 1)];
        int[] row = new int[b.Length + 1];
        for (int i = 1; i <= a.Length; i++)
        {
            row[0] = i;
            for (int j = 1; j <= b.Length; j++)
            {
                int replace = above[j - 1] + (Same(a[i - 1], b[j - 1]) ? 0 : 1);
                row[j] = Math.Min(replace, Math.Min(above[j], row[j - 1]) + 1);
            }
            (above, row) = (row, above);
        }
        return above[b.Length];
    }

    private static int SharedLength(string a, string b)
    {
        int length = 0;
        while (length < a.Length && length < b.Length && Same(a[length], b[length]))
            length++;
        return length;
    }

    private static bool Same(char a, char b) => char.ToUpperInvariant(a) == char.ToUpperInvariant(b);
}
