using System.Text.Encodings.Web;
using System.Text.Json;

namespace Dancerwatch.EdgeAgent.Watching.Payloads;

/// <summary>A kind of message, whatever it is made from.</summary>
internal interface IMessageShape
{
    /// <summary>What its schema's file is called, without extension.</summary>
    string Name { get; }

    /// <summary>Writes the JSON Schema (2020-12) of its messages.</summary>
    void WriteSchema(Stream into);
}

/// <summary>Kinds of values; null counts as of the kind its field has otherwise.</summary>
internal enum FieldKind
{
    Number,
    Count,

    /// <summary>ms since 1970-01-01 UTC.</summary>
    Moment,
    Text,
    Object,
}

/// <summary>
/// A kind of message, told once: its messages are written from it, and so is their schema, so that the two cannot disagree.
/// Fields stand in the order in which they are added, and every one of them stands in every message.
/// </summary>
/// <typeparam name="T">What a message is made from.</typeparam>
internal sealed class MessageShape<T>(string name, string meaning) : IMessageShape
{
    private static readonly JsonWriterOptions s_file = new()
    {
        Indented = true,
        NewLine = "\n",
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping, // it is a file, not a web page
    };

    private readonly List<Field> _fields = [];

    public string Name => name;

    /// <summary>The fields, in their order, and of which kind each is.</summary>
    public IEnumerable<(string Name, FieldKind Kind)> Fields => _fields.Select(one => (one.Name, one.Kind));

    /// <summary>The message, UTF-8 JSON.</summary>
    public byte[] Of(T from) => FlatJson.Of(json => Write(json, from));

    /// <summary>A number with a unit; null where it is NaN or infinite.</summary>
    public MessageShape<T> Number(string field, string unit, string meaning, Func<T, double> value) =>
        Number(field, $"{meaning}. Unit: {unit}", value);

    /// <summary>A number without a unit.</summary>
    public MessageShape<T> Number(string field, string meaning, Func<T, double> value) =>
        AddNumber(field, meaning, ValueRule.Number, value);

    /// <summary>A number from 0 to 1.</summary>
    public MessageShape<T> Share(string field, string meaning, Func<T, double> value) =>
        AddNumber(field, meaning, ValueRule.Share, value);

    public MessageShape<T> Count(string field, string meaning, Func<T, long> value) =>
        Add(
            field,
            FieldKind.Count,
            $"{meaning}.",
            ValueRule.Count,
            (json, from) => json.WriteNumber(field, value(from))
        );

    /// <summary>A moment, ms since 1970-01-01 UTC.</summary>
    public MessageShape<T> Moment(string field, string meaning, Func<T, long> value) =>
        Add(
            field,
            FieldKind.Moment,
            Dated(meaning),
            ValueRule.Count,
            (json, from) => json.WriteNumber(field, value(from))
        );

    /// <summary>A moment, or null.</summary>
    public MessageShape<T> OptionalMoment(string field, string meaning, Func<T, long?> value) =>
        Add(
            field,
            FieldKind.Moment,
            Dated(meaning),
            ValueRule.Count with
            {
                OrNull = true,
            },
            (json, from) =>
            {
                if (value(from) is { } known)
                    json.WriteNumber(field, known);
                else
                    json.WriteNull(field);
            }
        );

    /// <summary>A text that follows a rule.</summary>
    public MessageShape<T> Text(string field, string meaning, ValueRule rule, Func<T, string?> value) =>
        Add(field, FieldKind.Text, $"{meaning}.", rule, (json, from) => json.WriteString(field, value(from)));

    public MessageShape<T> Text(string field, string meaning, Func<T, string> value) =>
        Text(field, meaning, ValueRule.Text, value);

    /// <summary>A text; null where there is none, or an empty one.</summary>
    public MessageShape<T> OptionalText(string field, string meaning, Func<T, string?> value) =>
        Text(
            field,
            meaning,
            ValueRule.Text with
            {
                OrNull = true,
            },
            from => value(from) is { Length: > 0 } text ? text : null
        );

    /// <summary>One of some words.</summary>
    public MessageShape<T> OneOf(
        string field,
        string meaning,
        IReadOnlyList<string> words,
        Func<T, string> value
    ) => Text(field, meaning, new ValueRule("string") { Words = words }, value);

    /// <summary>The word for a value of an enumeration; null where the value has none.</summary>
    public MessageShape<T> Word<TWord>(
        string field,
        string meaning,
        Func<TWord, string?> code,
        Func<T, TWord> value
    )
        where TWord : struct, Enum =>
        Text(field, meaning, Words(code, orNull: false), from => code(value(from)));

    /// <summary>The word for a value of an enumeration, or null.</summary>
    public MessageShape<T> OptionalWord<TWord>(
        string field,
        string meaning,
        Func<TWord, string?> code,
        Func<T, TWord?> value
    )
        where TWord : struct, Enum =>
        Text(
            field,
            meaning,
            Words(code, orNull: true),
            from => value(from) is { } known ? code(known) : null
        );

    /// <summary>An object with fields of its own.</summary>
    public MessageShape<T> Inner<TInner>(string field, MessageShape<TInner> shape, Func<T, TInner> value)
    {
        _fields.Add(
            new(
                field,
                FieldKind.Object,
                shape.WriteObject,
                (json, from) =>
                {
                    json.WriteStartObject(field);
                    shape.Write(json, value(from));
                    json.WriteEndObject();
                }
            )
        );
        return this;
    }

    public void WriteSchema(Stream into)
    {
        using (Utf8JsonWriter json = new(into, s_file))
        {
            json.WriteStartObject();
            json.WriteString("$schema", "https://json-schema.org/draft/2020-12/schema");
            json.WriteString("title", name);
            WriteObject(json);
            json.WriteEndObject();
        }
        into.WriteByte((byte)'\n');
    }

    private void Write(Utf8JsonWriter json, T from)
    {
        foreach (Field field in _fields)
            field.Write(json, from);
    }

    private void WriteObject(Utf8JsonWriter json)
    {
        json.WriteString("description", meaning);
        json.WriteString("type", "object");
        json.WriteBoolean("additionalProperties", false);
        json.WriteStartArray("required");
        foreach (Field field in _fields)
            json.WriteStringValue(field.Name);
        json.WriteEndArray();
        json.WriteStartObject("properties");
        foreach (Field field in _fields)
        {
            json.WriteStartObject(field.Name);
            field.WriteSchema(json);
            json.WriteEndObject();
        }
        json.WriteEndObject();
    }

    private MessageShape<T> AddNumber(string field, string meaning, ValueRule rule, Func<T, double> value) =>
        Add(field, FieldKind.Number, $"{meaning}.", rule, (json, from) => json.Number(field, value(from)));

    private MessageShape<T> Add(
        string field,
        FieldKind kind,
        string meaning,
        ValueRule rule,
        Action<Utf8JsonWriter, T> write
    )
    {
        _fields.Add(
            new(
                field,
                kind,
                json =>
                {
                    json.WriteString("description", meaning);
                    rule.Write(json);
                },
                write
            )
        );
        return this;
    }

    private static string Dated(string meaning) => $"{meaning}. Unit: ms since 1970-01-01 UTC.";

    private static ValueRule Words<TWord>(Func<TWord, string?> code, bool orNull)
        where TWord : struct, Enum
    {
        string?[] words = [.. Enum.GetValues<TWord>().Select(code)];
        return new ValueRule("string")
        {
            OrNull = orNull || words.Contains(null),
            Words = [.. words.OfType<string>()],
        };
    }

    private sealed record Field(
        string Name,
        FieldKind Kind,
        Action<Utf8JsonWriter> WriteSchema,
        Action<Utf8JsonWriter, T> Write
    );
}
