namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>A number of the configuration as it is in force, written in the file or usual; a switch is 1 or 0.</summary>
/// <param name="Key">With the sections it stands in, from the machine on: <c>dancer.overtravelPercent</c>.</param>
internal readonly record struct NotedNumber(string Key, double Value);

/// <summary>Notes each number that a shape asks another section for, machine by machine.</summary>
internal sealed class NotingSection : Section
{
    private readonly Section _of;
    private readonly string _path;
    private readonly List<NotedNumber> _into;
    private readonly List<List<NotedNumber>> _machines;

    private NotingSection(
        Section of,
        string path,
        List<NotedNumber> into,
        List<List<NotedNumber>> machines
    ) => (_of, _path, _into, _machines) = (of, path, into, machines);

    /// <param name="of">The whole configuration.</param>
    /// <param name="machines">Takes what is noted of each machine, in the order of the file.</param>
    public NotingSection(Section of, List<List<NotedNumber>> machines)
        : this(of, "", [], machines) { }

    public override double Number(
        string key,
        string meaning,
        double minimum,
        double maximum,
        double? fallback = null
    ) => Note(key, _of.Number(key, meaning, minimum, maximum, fallback));

    public override int Whole(string key, string meaning, int minimum, int maximum, int fallback) =>
        (int)Note(key, _of.Whole(key, meaning, minimum, maximum, fallback));

    public override bool Switch(string key, string meaning, bool fallback) =>
        Note(key, _of.Switch(key, meaning, fallback) ? 1 : 0) != 0;

    public override T Inner<T>(string key, string meaning, Func<Section, T> shape) =>
        _of.Inner(key, meaning, Within(key, shape));

    public override T? Optional<T>(string key, string meaning, Func<Section, T> shape)
        where T : class => _of.Optional(key, meaning, Within(key, shape));

    public override T OrEmpty<T>(string key, string meaning, Func<Section, T> shape) =>
        _of.OrEmpty(key, meaning, Within(key, shape));

    public override IReadOnlyList<T> List<T>(string key, string meaning, Func<Section, T> shape) =>
        _of.List(key, meaning, Within(key, shape));

    public override IReadOnlyList<T> ListOfTemplates<T>(
        string key,
        string meaning,
        string templates,
        string templatesMeaning,
        Func<Section, T> shape
    ) =>
        _of.ListOfTemplates(
            key,
            meaning,
            templates,
            templatesMeaning,
            inner =>
            {
                List<NotedNumber> machine = [];
                _machines.Add(machine);
                return shape(new NotingSection(inner, "", machine, _machines));
            }
        );

    public override string Text(string key, string meaning, TextRule rule, string? fallback = null) =>
        _of.Text(key, meaning, rule, fallback);

    public override string? OptionalText(string key, string meaning, TextRule rule) =>
        _of.OptionalText(key, meaning, rule);

    public override string Choice(
        string key,
        string meaning,
        IReadOnlyList<string> choices,
        string? fallback = null
    ) => _of.Choice(key, meaning, choices, fallback);

    public override string? OptionalChoice(string key, string meaning, IReadOnlyList<string> choices) =>
        _of.OptionalChoice(key, meaning, choices);

    public override IReadOnlyList<(double, double)> RisingPairs(
        string key,
        string meaning,
        double minimum,
        double maximum
    ) => _of.RisingPairs(key, meaning, minimum, maximum);

    public override void Words(string key, string meaning) => _of.Words(key, meaning);

    public override void Forbid(string key, string allowed, string @try) => _of.Forbid(key, allowed, @try);

    public override void Refuse(string key, string allowed, string @try) => _of.Refuse(key, allowed, @try);

    private Func<Section, T> Within<T>(string key, Func<Section, T> shape) =>
        inner => shape(new NotingSection(inner, $"{_path}{key}.", _into, _machines));

    private double Note(string key, double value)
    {
        if (double.IsFinite(value))
            _into.Add(new NotedNumber(_path + key, value));
        return value;
    }
}
