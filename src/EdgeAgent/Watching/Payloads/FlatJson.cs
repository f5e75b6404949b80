using System.Buffers;
using System.Globalization;
using System.Text.Encodings.Web;
using System.Text.Json;

namespace Dancerwatch.EdgeAgent.Watching.Payloads;

/// <summary>
/// JSON as we send it: numbers are numbers, what is not known is null, and NaN or an infinity never leaves the box. Six
/// significant digits, which is finer than any 12-bit sensor and keeps payloads readable.
/// </summary>
internal static class FlatJson
{
    private static readonly JsonWriterOptions s_options = new()
    {
        // Payloads are not put into HTML; a person reads "µm" and "'" better than \u00B5m and \u0027.
        Encoder = JavaScriptEncoder.UnsafeRelaxedJsonEscaping,
    };

    public static byte[] Of(Action<Utf8JsonWriter> write)
    {
        ArrayBufferWriter<byte> buffer = new(initialCapacity: 1024);
        using (Utf8JsonWriter writer = new(buffer, s_options))
        {
            writer.WriteStartObject();
            write(writer);
            writer.WriteEndObject();
        }
        return buffer.WrittenSpan.ToArray();
    }

    /// <summary>Writes a number; null where it is NaN or infinite.</summary>
    public static void Number(this Utf8JsonWriter writer, string name, double value)
    {
        writer.WritePropertyName(name);
        Span<byte> digits = stackalloc byte[24];
        if (
            double.IsFinite(value)
            && value.TryFormat(digits, out int length, "G6", CultureInfo.InvariantCulture)
        )
            writer.WriteRawValue(digits[..length], skipInputValidation: true);
        else
            writer.WriteNullValue();
    }
}
