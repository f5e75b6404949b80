using System.Text.Json;
using System.Text.RegularExpressions;

namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>
/// Templates of a configuration by name. An item that names one has all that stands in the template, and what stands in
/// itself wins: objects are put together key by key, anything else takes the other's place, and null takes it out. In a
/// template's texts <c>{tags}</c> stands for what the item says under <c>with</c>; <c>{name}</c> for its name and
/// <c>{number}</c> for the digits at the name's end need no saying.
/// </summary>
internal sealed partial class TemplateSet
{
    public const string TemplateKey = "template";
    public const string WordsKey = "with";
    public const string NameKey = "name";

    /// <summary>What each item says of itself.</summary>
    public static readonly IReadOnlyList<string> ItemKeys = [NameKey, TemplateKey, WordsKey];

    private readonly Dictionary<string, JsonTree> _templates = [];
    private readonly HashSet<string> _used = [];

    /// <param name="json">The templates as they stand in the file; null where there are none.</param>
    /// <param name="path">Their key.</param>
    /// <param name="errors">Takes what is wrong with them by themselves.</param>
    public TemplateSet(JsonTree? json, string path, List<SettingError> errors)
    {
        if (json is null)
            return;
        if (json.Kind != JsonTokenType.StartObject)
        {
            errors.Add(
                new SettingError(
                    json.Line,
                    path,
                    "is no object",
                    "an object { ... } with a template under each name",
                    "See config/example.jsonc."
                )
            );
            return;
        }
        foreach ((string name, JsonTree template) in json.Members)
        {
            foreach (string key in ItemKeys.Where(template.Members.ContainsKey))
                errors.Add(
                    new SettingError(
                        template.Members[key].Line,
                        $"{path}.{name}.{key}",
                        "stands in a template",
                        "in a machine only",
                        "Each machine has its own; a template is not made of another."
                    )
                );
            _templates.Add(name, template);
        }
    }

    /// <summary>An item with what its template adds to it; the item as it is where it names none.</summary>
    /// <param name="path">The item's key.</param>
    /// <param name="errors">Takes what is wrong with its template and its words.</param>
    /// <returns>False where it names a template that is not there: what it lacks may stand in the right one.</returns>
    public bool TryMake(JsonTree item, string path, List<SettingError> errors, out JsonTree whole)
    {
        whole = item;
        if (!item.Members.TryGetValue(TemplateKey, out JsonTree? named))
        {
            if (!item.Members.TryGetValue(WordsKey, out JsonTree? idle))
                return true;
            // A slip of the finger is told where unknown keys are.
            if (NearestWord.Of(TemplateKey, item.Members.Keys.Where(key => key != NameKey)) is null)
                errors.Add(
                    new SettingError(
                        idle.Line,
                        $"{path}.{WordsKey}",
                        "stands without template",
                        "",
                        $"Add {TemplateKey}, or remove it."
                    )
                );
            return false;
        }
        if (named.Kind != JsonTokenType.String || !_templates.TryGetValue(named.Text, out JsonTree? template))
        {
            errors.Add(Unknown(named, $"{path}.{TemplateKey}"));
            return false;
        }
        _used.Add(named.Text);
        TemplateWords words = new(item, named.Text, $"{path}.{WordsKey}", errors);
        whole = Put(item, Filled(template, named.Text, "", words), named.Text);
        words.Settle();
        return true;
    }

    /// <summary>Templates no item has named, each as an item with a name and words that fit anywhere.</summary>
    public IEnumerable<(string Name, JsonTree Whole)> Unused()
    {
        foreach ((string name, JsonTree template) in _templates)
        {
            if (!_used.Contains(name))
                yield return (name, Filled(template, name, "", words: null));
        }
    }

    private SettingError Unknown(JsonTree named, string key)
    {
        string? nearest = NearestWord.Of(named.Text, _templates.Keys);
        return new SettingError(
            named.Line,
            key,
            $"is \"{named.Text}\"",
            _templates.Count == 0
                ? "a name from templates, of which there are none"
                : $"a name from templates: {string.Join(", ", _templates.Keys)}",
            nearest is null ? "Write the template, or remove the key." : $"Try \"{nearest}\"."
        );
    }

    /// <summary>A template's part with the item's words in its texts.</summary>
    private static JsonTree Filled(JsonTree part, string template, string path, TemplateWords? words) =>
        new()
        {
            Kind = part.Kind,
            Line = part.Line,
            Template = template,
            Text = part.Kind == JsonTokenType.String ? Filled(part.Text, path, words) : part.Text,
            Members = part.Members.ToDictionary(
                member => member.Key,
                member => Filled(member.Value, template, Below(path, member.Key), words)
            ),
            Items = [.. part.Items.Select(item => Filled(item, template, path, words))],
        };

    private static string Filled(string text, string path, TemplateWords? words) =>
        Word.Replace(
            text,
            match => words is null ? "word" : words.Of(match.Groups["word"].Value, path) ?? "missing"
        );

    /// <summary>What stands in the item over what stands in the template.</summary>
    private static JsonTree Put(JsonTree item, JsonTree template, string name)
    {
        if (item.Kind != JsonTokenType.StartObject || template.Kind != JsonTokenType.StartObject)
            return item;
        Dictionary<string, JsonTree> members = new(template.Members);
        foreach ((string key, JsonTree own) in item.Members)
        {
            if (own.Kind == JsonTokenType.Null)
                members.Remove(key);
            else
                members[key] = template.Members.TryGetValue(key, out JsonTree? shared)
                    ? Put(own, shared, name)
                    : own;
        }
        return new JsonTree
        {
            Kind = item.Kind,
            Line = item.Line,
            Template = name,
            Members = members,
        };
    }

    private static string Below(string path, string key) => path.Length > 0 ? $"{path}.{key}" : key;

    [GeneratedRegex(@"\{(?<word>[A-Za-z][A-Za-z0-9]*)\}", RegexOptions.ExplicitCapture)]
    private static partial Regex Word { get; }
}
