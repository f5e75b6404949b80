using System.Text.Encodings.Web;
using System.Text.Json;

namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>Writes down each key a shape asks for as JSON Schema 2020-12, for editors that complete and check while one types.</summary>
internal sealed class SchemaSection : Section
{
    private readonly Utf8JsonWriter _writer;
    private readonly Wholeness _wholeness;
    private readonly List<string> _required = [];
    private readonly Dictionary<string, SchemaSection> _inner = [];

    private SchemaSection(Utf8JsonWriter writer, Wholeness wholeness) =>
        (_writer, _wholeness) = (writer, wholeness);

    /// <summary>Whether all that must be there is in one place.</summary>
    private enum Wholeness
    {
        Whole,

        /// <summary>A template: nothing must be there, and words in braces stand in its texts.</summary>
        Template,

        /// <summary>What may be made whole by a template: what must be there is asked only where it names none, and null takes out.</summary>
        MadeOfTemplate,
    }

    /// <summary>The schema of the whole configuration.</summary>
    public static void Write<T>(Stream into, string title, Func<Section, T> shape)
    {
        JsonWriterOptions options = new()
        {
            Indented = true,
            NewLine = "\n",
            Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping, // it is a file, not a web page
        };
        using (Utf8JsonWriter writer = new(into, options))
        {
            writer.WriteStartObject();
            writer.WriteString("$schema", "https://json-schema.org/draft/2020-12/schema");
            writer.WriteString("title", title);
            new SchemaSection(writer, Wholeness.Whole).WriteObject(shape, Wholeness.Whole, out _);
            writer.WriteEndObject();
        }
        into.WriteByte((byte)'\n');
    }

    public override string Text(string key, string meaning, TextRule rule, string? fallback = null)
    {
        if (_wholeness == Wholeness.Template && key == TemplateSet.NameKey)
            return "";
        Start(key, meaning, "string", required: fallback is null);
        WritePattern(rule);
        if (fallback is not null)
            _writer.WriteString("default", fallback);
        _writer.WriteEndObject();
        return fallback ?? "";
    }

    public override string? OptionalText(string key, string meaning, TextRule rule)
    {
        if (_wholeness == Wholeness.Template && key == TemplateSet.TemplateKey)
            return null;
        Start(key, meaning, "string", required: false);
        WritePattern(rule);
        _writer.WriteEndObject();
        return null;
    }

    public override double Number(
        string key,
        string meaning,
        double minimum,
        double maximum,
        double? fallback = null
    )
    {
        Start(key, meaning, "number", required: fallback is null);
        WriteRange(minimum, maximum);
        if (fallback is { } value && !double.IsNaN(value))
            _writer.WriteNumber("default", value);
        _writer.WriteEndObject();
        return fallback ?? double.NaN;
    }

    public override int Whole(string key, string meaning, int minimum, int maximum, int fallback)
    {
        Start(key, meaning, "integer", required: false);
        WriteRange(minimum, maximum);
        _writer.WriteNumber("default", fallback);
        _writer.WriteEndObject();
        return fallback;
    }

    public override bool Switch(string key, string meaning, bool fallback)
    {
        Start(key, meaning, "boolean", required: false);
        _writer.WriteBoolean("default", fallback);
        _writer.WriteEndObject();
        return fallback;
    }

    public override string Choice(
        string key,
        string meaning,
        IReadOnlyList<string> choices,
        string? fallback = null
    )
    {
        Start(key, meaning, "string", required: fallback is null);
        WriteStrings("enum", choices);
        if (fallback is not null)
            _writer.WriteString("default", fallback);
        _writer.WriteEndObject();
        return fallback ?? choices[0];
    }

    public override string? OptionalChoice(string key, string meaning, IReadOnlyList<string> choices)
    {
        Start(key, meaning, "string", required: false);
        WriteStrings("enum", choices);
        _writer.WriteEndObject();
        return null;
    }

    public override IReadOnlyList<(double, double)> RisingPairs(
        string key,
        string meaning,
        double minimum,
        double maximum
    )
    {
        Start(key, meaning, "array", required: false);
        _writer.WriteNumber("minItems", 2);
        _writer.WriteStartObject("items");
        _writer.WriteString("type", "array");
        _writer.WriteNumber("minItems", 2);
        _writer.WriteNumber("maxItems", 2);
        _writer.WriteStartObject("items");
        _writer.WriteString("type", "number");
        WriteRange(minimum, maximum);
        _writer.WriteEndObject();
        _writer.WriteEndObject();
        _writer.WriteEndObject();
        return [];
    }

    public override T Inner<T>(string key, string meaning, Func<Section, T> shape) =>
        WriteInner(key, meaning, shape, required: true);

    public override T? Optional<T>(string key, string meaning, Func<Section, T> shape)
        where T : class => WriteInner(key, meaning, shape, required: false);

    public override T OrEmpty<T>(string key, string meaning, Func<Section, T> shape) =>
        WriteInner(key, meaning, shape, required: false);

    public override IReadOnlyList<T> List<T>(string key, string meaning, Func<Section, T> shape)
    {
        Start(key, meaning, "array", required: true);
        _writer.WriteNumber("minItems", 1);
        _writer.WriteStartObject("items");
        T item = WriteObject(shape, _wholeness, out _);
        _writer.WriteEndObject();
        _writer.WriteEndObject();
        return [item];
    }

    public override IReadOnlyList<T> ListOfTemplates<T>(
        string key,
        string meaning,
        string templates,
        string templatesMeaning,
        Func<Section, T> shape
    )
    {
        Start(templates, templatesMeaning, "object", required: false);
        _writer.WriteStartObject("additionalProperties");
        WriteObject(shape, Wholeness.Template, out _);
        _writer.WriteEndObject();
        _writer.WriteEndObject();

        Start(key, meaning, "array", required: true);
        _writer.WriteNumber("minItems", 1);
        _writer.WriteStartObject("items");
        T item = WriteObject(shape, Wholeness.MadeOfTemplate, out SchemaSection section);
        _writer.WriteStartArray("required");
        _writer.WriteStringValue(TemplateSet.NameKey);
        _writer.WriteEndArray();
        _writer.WriteStartObject("if");
        _writer.WriteStartObject("not");
        section.WriteStrings("required", [TemplateSet.TemplateKey]);
        _writer.WriteEndObject();
        _writer.WriteEndObject();
        _writer.WriteStartObject("then");
        section.WriteAllRequired();
        _writer.WriteEndObject();
        _writer.WriteEndObject();
        _writer.WriteEndObject();
        return [item];
    }

    public override void Words(string key, string meaning)
    {
        if (_wholeness == Wholeness.Template)
            return;
        Start(key, meaning, "object", required: false);
        _writer.WriteStartObject("additionalProperties");
        _writer.WriteString("type", "string");
        _writer.WriteEndObject();
        _writer.WriteEndObject();
    }

    /// <summary>Nothing to write: what is not listed is refused.</summary>
    public override void Forbid(string key, string allowed, string @try) { }

    /// <summary>Nothing to write: values that must fit one another are beyond a schema, the loader checks them.</summary>
    public override void Refuse(string key, string allowed, string @try) { }

    private T WriteInner<T>(string key, string meaning, Func<Section, T> shape, bool required)
    {
        if (required)
            _required.Add(key);
        _writer.WriteStartObject(key);
        _writer.WriteString("description", meaning);
        bool mayBeNull = !required && _wholeness == Wholeness.MadeOfTemplate;
        T value = WriteObject(shape, _wholeness, out SchemaSection inner, mayBeNull);
        _inner.Add(key, inner);
        _writer.WriteEndObject();
        return value;
    }

    private T WriteObject<T>(
        Func<Section, T> shape,
        Wholeness wholeness,
        out SchemaSection section,
        bool mayBeNull = false
    )
    {
        if (mayBeNull)
            WriteStrings("type", ["object", "null"]);
        else
            _writer.WriteString("type", "object");
        _writer.WriteBoolean("additionalProperties", false);
        _writer.WriteStartObject("properties");
        section = new(_writer, wholeness);
        T value = shape(section);
        _writer.WriteEndObject();
        if (wholeness == Wholeness.Whole && section._required.Count > 0)
            WriteStrings("required", section._required);
        return value;
    }

    /// <summary>What must be there, in this section and in those within it.</summary>
    private void WriteAllRequired()
    {
        if (_required.Count > 0)
            WriteStrings("required", _required);
        _writer.WriteStartObject("properties");
        foreach ((string key, SchemaSection inner) in _inner.Where(inner => inner.Value.Requires))
        {
            _writer.WriteStartObject(key);
            inner.WriteAllRequired();
            _writer.WriteEndObject();
        }
        _writer.WriteEndObject();
    }

    private bool Requires => _required.Count > 0 || _inner.Values.Any(inner => inner.Requires);

    private void WritePattern(TextRule rule)
    {
        const string HoldsWord = @"\{[A-Za-z][A-Za-z0-9]*\}";
        string pattern = rule.Pattern.ToString();
        _writer.WriteString(
            "pattern",
            _wholeness == Wholeness.Template ? $"({pattern})|({HoldsWord})" : pattern
        );
    }

    private void Start(string key, string meaning, string type, bool required)
    {
        if (required)
            _required.Add(key);
        _writer.WriteStartObject(key);
        _writer.WriteString("description", meaning);
        _writer.WriteString("type", type);
    }

    private void WriteStrings(string property, IReadOnlyList<string> values)
    {
        _writer.WriteStartArray(property);
        foreach (string value in values)
            _writer.WriteStringValue(value);
        _writer.WriteEndArray();
    }

    private void WriteRange(double minimum, double maximum)
    {
        _writer.WriteNumber("minimum", minimum);
        _writer.WriteNumber("maximum", maximum);
    }
}
