using System.Text.Json;

namespace Dancerwatch.EdgeAgent.Watching.Payloads;

/// <summary>What a field of a message may hold, in the words of JSON Schema 2020-12 (validation vocabulary).</summary>
/// <param name="Type"><c>string</c>, <c>number</c> or <c>integer</c>.</param>
internal sealed record ValueRule(string Type)
{
    /// <summary>Any number. Each may be null: what is not known is.</summary>
    public static readonly ValueRule Number = new("number") { OrNull = true };

    /// <summary>A share or a probability.</summary>
    public static readonly ValueRule Share = Number with { Minimum = 0, Maximum = 1 };

    public static readonly ValueRule Count = new("integer") { Minimum = 0 };

    /// <summary>Text that says something.</summary>
    public static readonly ValueRule Text = new("string") { Pattern = @"\S" };

    public bool OrNull { get; init; }
    public double? Minimum { get; init; }
    public double? Maximum { get; init; }

    /// <summary>Regular expression, ECMA 262.</summary>
    public string? Pattern { get; init; }

    /// <summary>A name of the format vocabulary, e.g. <c>date-time</c>.</summary>
    public string? Format { get; init; }

    /// <summary>All it may be.</summary>
    public IReadOnlyList<string>? Words { get; init; }

    /// <summary>Writes the members of the field's schema.</summary>
    public void Write(Utf8JsonWriter json)
    {
        if (OrNull)
        {
            json.WriteStartArray("type");
            json.WriteStringValue(Type);
            json.WriteStringValue("null");
            json.WriteEndArray();
        }
        else
            json.WriteString("type", Type);
        if (Minimum is { } minimum)
            json.WriteNumber("minimum", minimum);
        if (Maximum is { } maximum)
            json.WriteNumber("maximum", maximum);
        if (Pattern is not null)
            json.WriteString("pattern", Pattern);
        if (Format is not null)
            json.WriteString("format", Format);
        if (Words is not null)
            WriteWords(json, Words);
    }

    private void WriteWords(Utf8JsonWriter json, IReadOnlyList<string> words)
    {
        json.WriteStartArray("enum");
        foreach (string word in words)
            json.WriteStringValue(word);
        if (OrNull)
            json.WriteNullValue();
        json.WriteEndArray();
    }
}
