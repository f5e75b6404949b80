using System.Globalization;
using System.Text.Json;

namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>A section as it stands in a file. What cannot be used is added to the errors, and a fallback is answered, so that one pass finds everything.</summary>
internal sealed class FileSection : Section
{
    private readonly JsonTree _json;
    private readonly string _path;
    private readonly List<SettingError> _errors;
    private readonly List<string> _known = [];
    private readonly List<SettingError> _missing = [];

    private FileSection(JsonTree json, string path, List<SettingError> errors)
    {
        _json = json;
        _path = path;
        _errors = errors;
    }

    /// <summary>Reads one object by its shape; keys the shape did not ask for are refused.</summary>
    public static T Read<T>(JsonTree json, string path, List<SettingError> errors, Func<Section, T> shape)
    {
        if (json.Kind != JsonTokenType.StartObject)
        {
            errors.Add(
                new SettingError(
                    json.Line,
                    path.Length > 0 ? path : "The file",
                    Is(json),
                    "an object { ... }",
                    "See config/example.jsonc."
                )
                {
                    Template = json.Template,
                }
            );
            // Its missing keys are not worth a complaint each.
            return shape(new FileSection(EmptyObject(json.Line), path, []));
        }
        FileSection section = new(json, path, errors);
        T value = shape(section);
        section.RefuseUnknown();
        return value;
    }

    public override string Text(string key, string meaning, TextRule rule, string? fallback = null)
    {
        if (Find(key, required: fallback is null) is not { } json)
            return fallback ?? "";
        if (json.Kind != JsonTokenType.String)
            Add(json, key, $"text in quotes: {rule.Allowed}", "Write it in double quotes.");
        else if (!rule.Fits(json.Text))
            Add(json, key, rule.Allowed, rule.Try);
        return json.Text;
    }

    public override string? OptionalText(string key, string meaning, TextRule rule) =>
        _json.Members.ContainsKey(key) ? Text(key, meaning, rule) : Skip<string>(key);

    public override double Number(
        string key,
        string meaning,
        double minimum,
        double maximum,
        double? fallback = null
    )
    {
        if (Find(key, required: fallback is null) is not { } json)
            return fallback ?? double.NaN;
        double value = NumberOf(json);
        if (value >= minimum && value <= maximum)
            return value;
        string allowed = string.Create(CultureInfo.InvariantCulture, $"a number from {minimum} to {maximum}");
        Add(json, key, allowed, TryNumber(json, value, minimum, maximum, fallback));
        return double.NaN; // so that comparing it with its neighbours finds nothing more to complain of
    }

    public override int Whole(string key, string meaning, int minimum, int maximum, int fallback)
    {
        if (Find(key, required: false) is not { } json)
            return fallback;
        double value = NumberOf(json);
        if (value >= minimum && value <= maximum && value == Math.Floor(value))
            return (int)value;
        Add(
            json,
            key,
            $"a whole number from {minimum} to {maximum}",
            TryNumber(json, value, minimum, maximum, fallback)
        );
        return fallback;
    }

    public override bool Switch(string key, string meaning, bool fallback)
    {
        if (Find(key, required: false) is not { } json)
            return fallback;
        if (json.Kind is JsonTokenType.True or JsonTokenType.False)
            return json.Kind == JsonTokenType.True;
        Add(json, key, "true or false", "Write true or false without quotes.");
        return fallback;
    }

    public override string Choice(
        string key,
        string meaning,
        IReadOnlyList<string> choices,
        string? fallback = null
    )
    {
        if (Find(key, required: fallback is null) is not { } json)
            return fallback ?? choices[0];
        if (json.Kind == JsonTokenType.String && choices.Contains(json.Text))
            return json.Text;
        string? better = NearestWord.Of(json.Text, choices) ?? fallback;
        Add(
            json,
            key,
            string.Join(", ", choices),
            better is null ? "Choose one of these." : $"Try \"{better}\"."
        );
        return fallback ?? choices[0];
    }

    public override string? OptionalChoice(string key, string meaning, IReadOnlyList<string> choices) =>
        _json.Members.ContainsKey(key) ? Choice(key, meaning, choices) : Skip<string>(key);

    public override IReadOnlyList<(double, double)> RisingPairs(
        string key,
        string meaning,
        double minimum,
        double maximum
    )
    {
        if (Find(key, required: false) is not { } json)
            return [];
        List<(double X, double Y)> pairs = [];
        foreach (JsonTree item in json.Items)
        {
            double x = item.Items.Count == 2 ? NumberOf(item.Items[0]) : double.NaN;
            double y = item.Items.Count == 2 ? NumberOf(item.Items[1]) : double.NaN;
            bool inRange = x >= minimum && x <= maximum && y >= minimum && y <= maximum;
            if (!inRange || (pairs.Count > 0 && (x <= pairs[^1].X || y <= pairs[^1].Y)))
            {
                Add(
                    item,
                    $"{key}[{pairs.Count}]",
                    string.Create(
                        CultureInfo.InvariantCulture,
                        $"a pair [x, y] of numbers from {minimum} to {maximum}, each larger than in the pair before"
                    ),
                    "Sort the pairs by x and remove what does not rise in y."
                );
                return [];
            }
            pairs.Add((x, y));
        }
        if (pairs.Count >= 2)
            return pairs;
        Add(json, key, "a list of at least two pairs [x, y]", "Give both ends, or remove the key for none.");
        return [];
    }

    public override T Inner<T>(string key, string meaning, Func<Section, T> shape) =>
        Find(key, required: true) is { } json
            ? Read(json, PathOf(key), _errors, shape)
            : shape(new FileSection(EmptyObject(_json.Line), PathOf(key), []));

    public override T? Optional<T>(string key, string meaning, Func<Section, T> shape)
        where T : class => _json.Members.ContainsKey(key) ? Inner(key, meaning, shape) : Skip<T>(key);

    public override T OrEmpty<T>(string key, string meaning, Func<Section, T> shape) =>
        Read(Find(key, required: false) ?? EmptyObject(_json.Line), PathOf(key), _errors, shape);

    public override IReadOnlyList<T> List<T>(string key, string meaning, Func<Section, T> shape)
    {
        if (Find(key, required: true) is not { } json)
            return [];
        if (json.Items.Count == 0)
            Add(json, key, "a list [ ... ] of at least one", "See config/example.jsonc.");
        List<T> list = [];
        foreach (JsonTree item in json.Items)
            list.Add(Read(item, $"{PathOf(key)}[{Label(item, list.Count)}]", _errors, shape));
        return list;
    }

    public override IReadOnlyList<T> ListOfTemplates<T>(
        string key,
        string meaning,
        string templates,
        string templatesMeaning,
        Func<Section, T> shape
    )
    {
        TemplateSet set = new(Find(templates, required: false), PathOf(templates), _errors);
        List<T> list = [];
        TemplateErrors errors = new();
        if (Find(key, required: true) is { } json)
        {
            if (json.Items.Count == 0)
                Add(json, key, "a list [ ... ] of at least one", "See config/example.jsonc.");
            foreach (JsonTree item in json.Items)
            {
                string path = $"{PathOf(key)}[{Label(item, list.Count)}]";
                List<SettingError> found = [];
                bool isWhole = set.TryMake(item, path, found, out JsonTree whole);
                list.Add(Read(whole, path, found, shape));
                errors.Take([.. found.Where(error => isWhole || !error.IsMissing)], path);
            }
        }
        // What no item uses is looked at all the same: a slip of the finger in it would come to light too late.
        foreach ((string name, JsonTree whole) in set.Unused())
        {
            string path = $"{PathOf(templates)}.{name}";
            List<SettingError> found = [];
            Read(whole, path, found, shape);
            _errors.AddRange(
                found
                    .Where(error => error.Template is not null && !error.IsMissing)
                    .Select(error => error with { Template = null })
            );
        }
        _errors.AddRange(errors.All);
        return list;
    }

    public override void Words(string key, string meaning) => Skip<string>(key);

    public override void Forbid(string key, string allowed, string @try)
    {
        if (_json.Members.TryGetValue(key, out JsonTree? json))
            _errors.Add(
                new SettingError(json.Line, PathOf(key), "stands in this file", allowed, @try)
                {
                    Template = json.Template,
                }
            );
        Skip<string>(key);
    }

    public override void Refuse(string key, string allowed, string @try)
    {
        bool there = _json.Members.TryGetValue(key, out JsonTree? json);
        int line = there ? json!.Line : _json.Line;
        if (!_errors.Exists(error => error.Line == line && error.Key == PathOf(key)))
            _errors.Add(
                new SettingError(line, PathOf(key), there ? Is(json!) : SettingError.Missing, allowed, @try)
                {
                    Template = there ? json!.Template : _json.Template,
                }
            );
    }

    private JsonTree? Find(string key, bool required)
    {
        _known.Add(key);
        if (_json.Members.TryGetValue(key, out JsonTree? json))
            return json;
        if (required)
            _missing.Add(
                new SettingError(
                    _json.Line,
                    PathOf(key),
                    SettingError.Missing,
                    "",
                    _json.Template is null
                        ? "Add it; see config/example.jsonc."
                        : "Add it to the template, or to the machine."
                )
                {
                    Template = _json.Template,
                }
            );
        return null;
    }

    /// <summary>Notes a key as known without looking at it.</summary>
    private T? Skip<T>(string key)
        where T : class
    {
        _known.Add(key);
        return null;
    }

    /// <summary>Refuses each key nobody asked for, with the known key that was probably meant; that one is then not called missing as well.</summary>
    private void RefuseUnknown()
    {
        List<string> unused = [.. _known.Where(key => !_json.Members.ContainsKey(key))];
        foreach ((string key, JsonTree value) in _json.Members)
        {
            if (_known.Contains(key))
                continue;
            string? meant = NearestWord.Of(key, unused);
            _missing.RemoveAll(error => meant is not null && error.Key == PathOf(meant));
            string @try = meant is null
                ? $"Remove it. Known here: {string.Join(", ", _known)}."
                : $"Try \"{meant}\".";
            _errors.Add(
                new SettingError(value.Line, PathOf(key), "is not a known key", "", @try)
                {
                    Template = value.Template,
                }
            );
        }
        _errors.AddRange(_missing);
    }

    private void Add(JsonTree json, string key, string allowed, string @try) =>
        _errors.Add(
            new SettingError(json.Line, PathOf(key), Is(json), allowed, @try) { Template = json.Template }
        );

    /// <summary>By name where there is one: people know machines by name, not by place.</summary>
    private static string Label(JsonTree item, int place) =>
        item.Members.TryGetValue("name", out JsonTree? name) ? name.Text : $"{place}";

    private string PathOf(string key) => _path.Length > 0 ? $"{_path}.{key}" : key;

    private static JsonTree EmptyObject(int line) => new() { Kind = JsonTokenType.StartObject, Line = line };

    private static double NumberOf(JsonTree json) =>
        json.Kind == JsonTokenType.Number
        && double.TryParse(json.Text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
        && double.IsFinite(value)
            ? value
            : double.NaN;

    private static string TryNumber(
        JsonTree json,
        double value,
        double minimum,
        double maximum,
        double? fallback
    )
    {
        if (json.Kind == JsonTokenType.String)
            return "Write the number without quotes.";
        double better =
            fallback is { } usual && double.IsFinite(usual) ? usual
            : value > maximum ? maximum
            : minimum;
        return string.Create(CultureInfo.InvariantCulture, $"Try {better}.");
    }

    private static string Is(JsonTree json) =>
        json.Kind switch
        {
            JsonTokenType.String => $"is \"{json.Text}\"",
            JsonTokenType.StartObject => "is an object { ... }",
            JsonTokenType.StartArray when json.Items.Count == 0 => "is an empty list",
            JsonTokenType.StartArray
                when json.Items.All(item => item.Items.Count == 0 && item.Members.Count == 0) =>
                $"is [{string.Join(", ", json.Items.Select(item => item.Text))}]",
            JsonTokenType.StartArray => "is a list",
            _ => $"is {json.Text}",
        };
}
