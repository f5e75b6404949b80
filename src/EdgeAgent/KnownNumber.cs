using System.Globalization;
using System.Text.Json;
using System.Text.Json.Serialization;

namespace Dancerwatch.EdgeAgent;

/// <summary>NaN and infinities are null in a file, and NaN again when it is read.</summary>
internal sealed class KnownNumber : JsonConverter<double>
{
    public override bool HandleNull => true;

    public override double Read(ref Utf8JsonReader reader, Type type, JsonSerializerOptions options) =>
        reader.TokenType == JsonTokenType.Null ? double.NaN : reader.GetDouble();

    public override void Write(Utf8JsonWriter writer, double value, JsonSerializerOptions options)
    {
        if (double.IsFinite(value))
            writer.WriteRawValue(value.ToString("G9", CultureInfo.InvariantCulture));
        else
            writer.WriteNullValue();
    }
}
