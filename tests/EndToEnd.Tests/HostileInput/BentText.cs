using System.Text;

namespace Dancerwatch.EndToEnd.Tests.HostileInput;

/// <summary>Bends text of a form: numbers and words are exchanged, lines moved, parts cut, repeated and nested, bytes spoiled.</summary>
internal static class BentText
{
    private static readonly string[] s_values =
    [
        "0",
        "-0",
        "-1",
        "1e999",
        "-1e308",
        "4.9e-324",
        "NaN",
        "Infinity",
        "2147483648",
        "9223372036854775808",
        "0x10",
        "1_000",
        "00012",
        "1.",
        ".5",
        "+3",
        new('9', 400),
        "null",
        "true",
        "\"\"",
        "\"\\u0000\"",
        "\"\\ud800\"",
        "\"../../etc\"",
        "\"\u202e\uFEFF\"",
        "[]",
        "{}",
        "[[[[]]]]",
        "//",
        "/*",
        ",",
        ";",
        "\t",
        "\0",
        "9999-12-31T23:59:59.9999999Z",
        "0001-01-01T00:00:00Z",
        "2026-02-30T25:61:61+99:99",
        "GOOD",
        "\"",
    ];

    public static byte[] Of(IReadOnlyList<string> corpus, Random random)
    {
        string text = corpus[random.Next(corpus.Count)];
        for (int changes = random.Next(1, 5); changes > 0; changes--)
            text = Change(text, corpus, random);
        byte[] bytes = Encoding.UTF8.GetBytes(text);
        // Not every file is text.
        if (random.Next(16) == 0 && bytes.Length > 0)
            bytes[random.Next(bytes.Length)] = (byte)random.Next(256);
        return bytes;
    }

    private static string Change(string text, IReadOnlyList<string> corpus, Random random)
    {
        if (text.Length == 0)
            return s_values[random.Next(s_values.Length)];
        switch (random.Next(10))
        {
            case 0:
            case 1:
            case 2:
            case 3:
                return Exchange(text, s_values[random.Next(s_values.Length)], random);
            case 4:
                (int from, int to) = Word(corpus[random.Next(corpus.Count)], random, out string other);
                return Exchange(text, other[from..to], random);
            case 5:
                return Lines(text, random);
            case 6:
                return text[..random.Next(text.Length)];
            case 7:
                int at = random.Next(text.Length);
                return text.Remove(at, Math.Min(random.Next(1, 40), text.Length - at));
            case 8:
                int start = random.Next(text.Length);
                string part = text.Substring(start, Math.Min(random.Next(1, 200), text.Length - start));
                return text.Insert(start, random.Next(20) == 0 ? Repeat(part, 200) : part);
            default:
                int depth = random.Next(1, 300);
                string nest = random.Next(2) == 0 ? Repeat("[", depth) : Repeat("{\"a\":", depth);
                return text.Insert(random.Next(text.Length), nest);
        }
    }

    /// <summary>A number, a word or a text in quotes becomes another.</summary>
    private static string Exchange(string text, string other, Random random)
    {
        (int from, int to) = Word(text, random, out _);
        return string.Concat(text.AsSpan(0, from), other, text.AsSpan(to));
    }

    private static (int From, int To) Word(string text, Random random, out string of)
    {
        of = text;
        if (text.Length == 0)
            return (0, 0);
        int at = random.Next(text.Length);
        while (at < text.Length - 1 && !IsOfWord(text[at]))
            at++;
        int to = at;
        while (at > 0 && IsOfWord(text[at - 1]))
            at--;
        while (to < text.Length && IsOfWord(text[to]))
            to++;
        return (at, to);
    }

    private static bool IsOfWord(char letter) =>
        char.IsAsciiLetterOrDigit(letter) || letter is '.' or '-' or '"' or '_';

    private static string Lines(string text, Random random)
    {
        List<string> lines = [.. text.Split('\n')];
        int one = random.Next(lines.Count);
        int other = random.Next(lines.Count);
        switch (random.Next(3))
        {
            case 0:
                lines.RemoveAt(one);
                break;
            case 1:
                lines.Insert(other, lines[one]);
                break;
            default:
                (lines[one], lines[other]) = (lines[other], lines[one]);
                break;
        }
        return string.Join('\n', lines);
    }

    private static string Repeat(string part, int times) =>
        new StringBuilder().Insert(0, part, times).ToString();
}
