namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>One thing in a configuration that cannot be used, told so that it can be put right at once.</summary>
/// <param name="Line">Line of the file, counted from 1; 0 where it is about the file as a whole.</param>
/// <param name="Key">Path of the key, e.g. <c>machines[tea-2].dancer.gapAtFullCounts</c>.</param>
/// <param name="Value">What is there, e.g. <c>is 3 000</c>, <c>is missing</c>.</param>
/// <param name="Allowed">What may be there, with unit; empty where <paramref name="Try"/> says it all.</param>
/// <param name="Try">What to do about it: a whole sentence.</param>
public sealed record SettingError(int Line, string Key, string Value, string Allowed, string Try)
{
    /// <summary>One line: <c>key is value. Allowed: range. Try ...</c></summary>
    public override string ToString()
    {
        string what = $"{Short(Key)} {Short(Value)}";
        return Allowed.Length > 0 ? $"{what}. Allowed: {Allowed}. {Try}" : $"{what}. {Try}";
    }

    /// <summary>The same with the place in front, in the form editors and terminals turn into a link.</summary>
    public string ToString(string file) => Line > 0 ? $"{file}:{Line}: {this}" : $"{file}: {this}";

    /// <summary>What stands in a file may be of any length and have line breaks; an error has one line.</summary>
    private static string Short(string text)
    {
        const int Most = 200;
        string line = string.Concat(text.Take(Most).Select(letter => char.IsControl(letter) ? ' ' : letter));
        return text.Length > Most ? $"{line}..." : line;
    }
}
