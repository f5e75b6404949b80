using System.Text;
using System.Text.Json;
using System.Text.Unicode;

namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>
/// A parsed JSON text that still knows on which line each value stands, so that a complaint can point at it. Comments
/// and trailing commas are allowed; a key given twice is an error, for one of the two would be ignored in silence.
/// </summary>
internal sealed class JsonTree
{
    /// <summary>Deeper than any configuration of ours, and far from the stack's end.</summary>
    private const int MaximumDepth = 32;

    public required JsonTokenType Kind { get; init; }

    /// <summary>Line in the text, from 1.</summary>
    public required int Line { get; init; }

    /// <summary>A string's text; a number, true, false or null as it is written.</summary>
    public string Text { get; init; } = "";

    /// <summary>Members of an object by key, in their order.</summary>
    public Dictionary<string, JsonTree> Members { get; init; } = [];

    /// <summary>Items of an array.</summary>
    public List<JsonTree> Items { get; init; } = [];

    /// <summary>Name of the template it, or a part of it, comes from; null for none.</summary>
    public string? Template { get; init; }

    /// <summary>Parses one JSON text. Trouble goes into <paramref name="errors"/>.</summary>
    /// <returns>The root; null where the text is not JSON.</returns>
    public static JsonTree? Parse(ReadOnlySpan<byte> utf8, List<SettingError> errors)
    {
        if (utf8.StartsWith(Encoding.UTF8.Preamble))
            utf8 = utf8[Encoding.UTF8.Preamble.Length..];
        if (!Utf8.IsValid(utf8))
        {
            errors.Add(
                new SettingError(0, "The file", "is not UTF-8 text", "", "Save it with the encoding UTF-8.")
            );
            return null;
        }
        Utf8JsonReader reader = new(
            utf8,
            new JsonReaderOptions
            {
                CommentHandling = JsonCommentHandling.Skip,
                AllowTrailingCommas = true,
                MaxDepth = MaximumDepth,
            }
        );
        try
        {
            reader.Read();
            LineCounter lines = new(utf8);
            JsonTree root = ReadValue(ref reader, ref lines, errors);
            reader.Read(); // throws where more follows
            return root;
        }
        catch (JsonException e)
        {
            errors.Add(SyntaxError(utf8, e));
            return null;
        }
    }

    private static JsonTree ReadValue(
        ref Utf8JsonReader reader,
        ref LineCounter lines,
        List<SettingError> errors
    )
    {
        int line = lines.LineOf(reader.TokenStartIndex);
        JsonTree tree = new()
        {
            Kind = reader.TokenType,
            Line = line,
            Text = reader.TokenType switch
            {
                JsonTokenType.String => TextOf(ref reader, line, errors),
                JsonTokenType.StartObject or JsonTokenType.StartArray => "",
                _ => Encoding.UTF8.GetString(reader.ValueSpan),
            },
        };
        if (tree.Kind == JsonTokenType.StartObject)
        {
            while (reader.Read() && reader.TokenType != JsonTokenType.EndObject)
            {
                int keyLine = lines.LineOf(reader.TokenStartIndex);
                string key = TextOf(ref reader, keyLine, errors);
                reader.Read();
                if (!tree.Members.TryAdd(key, ReadValue(ref reader, ref lines, errors)))
                    errors.Add(
                        new SettingError(keyLine, key, "is given twice", "once", "Remove one of the two.")
                    );
            }
        }
        else if (tree.Kind == JsonTokenType.StartArray)
        {
            while (reader.Read() && reader.TokenType != JsonTokenType.EndArray)
                tree.Items.Add(ReadValue(ref reader, ref lines, errors));
        }
        return tree;
    }

    private static string TextOf(ref Utf8JsonReader reader, int line, List<SettingError> errors)
    {
        try
        {
            return reader.GetString()!;
        }
        catch (InvalidOperationException)
        {
            // What is between the quotes is JSON, but half of a pair such as \ud800 is no character.
            errors.Add(
                new SettingError(
                    line,
                    Encoding.UTF8.GetString(reader.ValueSpan),
                    "is no text: an escape in it stands for half a character",
                    "whole characters",
                    "Write the characters themselves."
                )
            );
            return "";
        }
    }

    private static SettingError SyntaxError(ReadOnlySpan<byte> utf8, JsonException e)
    {
        int line = (int)(e.LineNumber ?? 0);
        ReadOnlySpan<byte> rest = utf8;
        for (int i = 0; i < line; i++)
            rest = rest[(rest.IndexOf((byte)'\n') + 1)..];
        int bytes = Math.Min((int)(e.BytePositionInLine ?? 0), rest.Length);
        int column = Encoding.UTF8.GetCharCount(rest[..bytes]) + 1;
        // The parser's own sentence ends with its zero-based place, which ours replaces.
        int tail = e.Message.IndexOf(" LineNumber:", StringComparison.Ordinal);
        string message = (tail < 0 ? e.Message : e.Message[..tail]).TrimEnd('.', ' ');
        return new SettingError(
            line + 1,
            $"Line {line + 1}, column {column}",
            $"is not JSON: {message}",
            "",
            "Look there and just before it for a missing comma, quote or bracket."
        );
    }

    /// <summary>Turns byte offsets that only grow into line numbers.</summary>
    private ref struct LineCounter(ReadOnlySpan<byte> utf8)
    {
        private readonly ReadOnlySpan<byte> _utf8 = utf8;
        private int _offset;
        private int _line = 1;

        public int LineOf(long offset)
        {
            _line += _utf8[_offset..(int)offset].Count((byte)'\n');
            _offset = (int)offset;
            return _line;
        }
    }
}
