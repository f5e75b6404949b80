namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>
/// One object of the configuration. A shape (<see cref="AgentShape"/>, <see cref="MachineShape"/>) asks for each of its
/// keys once, with meaning, range and fallback. The same shape is used twice: a <see cref="FileSection"/> answers from a
/// file and collects what is wrong; a <see cref="SchemaSection"/> writes each question down as JSON Schema. So the
/// loader and the schema cannot disagree.
/// </summary>
internal abstract class Section
{
    /// <summary>A text; required where there is no fallback.</summary>
    public abstract string Text(string key, string meaning, TextRule rule, string? fallback = null);

    /// <summary>A text that may be left out.</summary>
    public abstract string? OptionalText(string key, string meaning, TextRule rule);

    /// <summary>A number from <paramref name="minimum"/> to <paramref name="maximum"/>; required where there is no fallback. A fallback of NaN means "not known".</summary>
    public abstract double Number(
        string key,
        string meaning,
        double minimum,
        double maximum,
        double? fallback = null
    );

    /// <summary>A whole number from <paramref name="minimum"/> to <paramref name="maximum"/>.</summary>
    public abstract int Whole(string key, string meaning, int minimum, int maximum, int fallback);

    public abstract bool Switch(string key, string meaning, bool fallback);

    /// <summary>One of a few words; required where there is no fallback.</summary>
    public abstract string Choice(
        string key,
        string meaning,
        IReadOnlyList<string> choices,
        string? fallback = null
    );

    /// <summary>One of a few words, or null where left out.</summary>
    public abstract string? OptionalChoice(string key, string meaning, IReadOnlyList<string> choices);

    /// <summary>Pairs of numbers, strictly rising in both places, at least two pairs; empty where left out.</summary>
    public abstract IReadOnlyList<(double, double)> RisingPairs(
        string key,
        string meaning,
        double minimum,
        double maximum
    );

    /// <summary>A section that must be there.</summary>
    public abstract T Inner<T>(string key, string meaning, Func<Section, T> shape);

    /// <summary>A section that may be left out; null where it is.</summary>
    public abstract T? Optional<T>(string key, string meaning, Func<Section, T> shape)
        where T : class;

    /// <summary>A section that may be left out; read as if empty where it is.</summary>
    public abstract T OrEmpty<T>(string key, string meaning, Func<Section, T> shape);

    /// <summary>A list of at least one section.</summary>
    public abstract IReadOnlyList<T> List<T>(string key, string meaning, Func<Section, T> shape);

    /// <summary>
    /// A list of at least one section, each made whole by a template it may name, out of those under
    /// <paramref name="templates"/>: what alike sections have in common. See <see cref="TemplateSet"/>.
    /// </summary>
    public abstract IReadOnlyList<T> ListOfTemplates<T>(
        string key,
        string meaning,
        string templates,
        string templatesMeaning,
        Func<Section, T> shape
    );

    /// <summary>Texts by names that the file is free to choose; read elsewhere.</summary>
    public abstract void Words(string key, string meaning);

    /// <summary>A key that somebody may expect here and that is refused, with the reason; its value is never shown.</summary>
    public abstract void Forbid(string key, string allowed, string @try);

    /// <summary>Refuses a value that is allowed by itself but not beside the others. One complaint about a key is enough: a second one is not told.</summary>
    /// <param name="key">A key of this section.</param>
    public abstract void Refuse(string key, string allowed, string @try);
}
