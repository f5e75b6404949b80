using System.Text.Encodings.Web;
using System.Text.Json;

namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>Writes down each key a shape asks for as JSON Schema 2020-12, for editors that complete and check while one types.</summary>
internal sealed class SchemaSection : Section
{
    private readonly Utf8JsonWriter _writer;
    private readonly List<string> _required = [];

    private SchemaSection(Utf8JsonWriter writer) => _writer = writer;

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
            WriteObject(writer, shape);
            writer.WriteEndObject();
        }
        into.WriteByte((byte)'\n');
    }

    public override string Text(string key, string meaning, TextRule rule, string? fallback = null)
    {
        Start(key, meaning, "string", required: fallback is null);
        _writer.WriteString("pattern", rule.Pattern.ToString());
        if (fallback is not null)
            _writer.WriteString("default", fallback);
        _writer.WriteEndObject();
        return fallback ?? "";
    }

    public override string? OptionalText(string key, string meaning, TextRule rule)
    {
        Start(key, meaning, "string", required: false);
        _writer.WriteString("pattern", rule.Pattern.ToString());
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
        T item = WriteObject(_writer, shape);
        _writer.WriteEndObject();
        _writer.WriteEndObject();
        return [item];
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
        T value = WriteObject(_writer, shape);
        _writer.WriteEndObject();
        return value;
    }

    private static T WriteObject<T>(Utf8JsonWriter writer, Func<Section, T> shape)
    {
        writer.WriteString("type", "object");
        writer.WriteBoolean("additionalProperties", false);
        writer.WriteStartObject("properties");
        SchemaSection section = new(writer);
        T value = shape(section);
        writer.WriteEndObject();
        if (section._required.Count > 0)
            section.WriteStrings("required", section._required);
        return value;
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
