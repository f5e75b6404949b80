namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>One thing in a configuration that cannot be used, told so that it can be put right at once.</summary>
/// <param name="Line">Line of the file, counted from 1; 0 where it is about the file as a whole.</param>
/// <param name="Key">Path of the key, e.g. <c>machines[tea-2].dancer.gapAtFullCounts</c>.</param>
/// <param name="Value">What is there, e.g. <c>is 3 000</c>, <c>is missing</c>.</param>
/// <param name="Allowed">What may be there, with unit; empty where <paramref name="Try"/> says it all.</param>
/// <param name="Try">What to do about it: a whole sentence.</param>
public sealed record SettingError(int Line, string Key, string Value, string Allowed, string Try)
{
    /// <summary>The <see cref="Value"/> of what is not there.</summary>
    public const string Missing = "is missing";

    internal bool IsMissing => Value == Missing;

    /// <summary>Name of the template that the value stands in, or may be added to; null for none.</summary>
    public string? Template { get; init; }

    /// <summary>How many further machines made of the template have the same wrong with them.</summary>
    public int Others { get; init; }

    /// <summary>One line: <c>key is value. Allowed: range. Try ...</c></summary>
    public override string ToString()
    {
        string what = $"{Short(Key)}{Origin} {Short(Value)}";
        return Allowed.Length > 0 ? $"{what}. Allowed: {Allowed}. {Try}" : $"{what}. {Try}";
    }

    /// <summary>The same with the place in front, in the form editors and terminals turn into a link.</summary>
    public string ToString(string file) => Line > 0 ? $"{file}:{Line}: {this}" : $"{file}: {this}";

    private string Origin =>
        Template is null ? ""
        : Others == 0 ? $" (template {Short(Template)})"
        : $" (template {Short(Template)}; {Others} more of it likewise)";

    /// <summary>What stands in a file may be of any length and have line breaks; an error has one line.</summary>
    private static string Short(string text)
    {
        const int Most = 200;
        string line = string.Concat(text.Take(Most).Select(letter => char.IsControl(letter) ? ' ' : letter));
        return text.Length > Most ? $"{line}..." : line;
    }
}
