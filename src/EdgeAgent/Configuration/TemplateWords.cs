using System.Text.Json;
using System.Text.RegularExpressions;

namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>What one item says stands for the words of its template.</summary>
internal sealed partial class TemplateWords
{
    private readonly Dictionary<string, string> _words = [];
    private readonly Dictionary<string, JsonTree> _own = [];
    private readonly HashSet<string> _asked = [];

    // With the key of the first place each stands in.
    private readonly Dictionary<string, string> _missing = [];
    private readonly JsonTree _item;
    private readonly string _template;
    private readonly string _path;
    private readonly List<SettingError> _errors;

    public TemplateWords(JsonTree item, string template, string path, List<SettingError> errors)
    {
        (_item, _template, _path, _errors) = (item, template, path, errors);
        if (item.Members.TryGetValue(TemplateSet.NameKey, out JsonTree? name))
        {
            _words["name"] = name.Text;
            string number = DigitsAtTheEnd.Match(name.Text).Value;
            if (number.Length > 0)
                _words["number"] = number;
        }
        if (!item.Members.TryGetValue(TemplateSet.WordsKey, out JsonTree? own))
            return;
        if (own.Kind != JsonTokenType.StartObject)
            errors.Add(
                new SettingError(
                    own.Line,
                    path,
                    "is no object",
                    "an object { ... } with a text under each word",
                    "Try { \"tags\": \"Tea1\" }."
                )
            );
        foreach ((string word, JsonTree text) in own.Members)
        {
            _own.Add(word, text);
            _words[word] = text.Text;
            if (text.Kind != JsonTokenType.String)
                errors.Add(
                    new SettingError(
                        text.Line,
                        $"{path}.{word}",
                        "is no text",
                        "text in quotes",
                        "Write it in double quotes."
                    )
                );
        }
    }

    /// <param name="where">Key within the template, for the complaint.</param>
    /// <returns>Null, and complained of in the end, where the item says nothing of it.</returns>
    public string? Of(string word, string where)
    {
        _asked.Add(word);
        if (_words.TryGetValue(word, out string? text))
            return text;
        _missing.TryAdd(word, where);
        return null;
    }

    /// <summary>Complains of words that stand nowhere in the template, and of those that nothing was said of.</summary>
    public void Settle()
    {
        foreach ((string word, JsonTree text) in _own.Where(own => !_asked.Contains(own.Key)))
        {
            string? meant = NearestWord.Of(word, _missing.Keys);
            string @try = meant is null ? "Remove it." : $"Try \"{meant}\".";
            if (meant is not null)
                _missing.Remove(meant);
            _errors.Add(
                new SettingError(
                    text.Line,
                    $"{_path}.{word}",
                    $"stands nowhere in template {_template}",
                    "",
                    @try
                )
            );
        }
        foreach ((string word, string where) in _missing)
            _errors.Add(
                new SettingError(
                    _item.Line,
                    $"{_path}.{word}",
                    SettingError.Missing,
                    $"text to stand for {{{word}}} in {where}",
                    $"Add \"{TemplateSet.WordsKey}\": {{ \"{word}\": \"...\" }} to the machine."
                )
                {
                    Template = _template,
                }
            );
    }

    [GeneratedRegex("[0-9]+$")]
    private static partial Regex DigitsAtTheEnd { get; }
}
