using System.Buffers;
using System.Buffers.Binary;
using System.Text;

namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>
/// Writes payloads as <c>payload.proto</c> says, in the wire format of protocol buffers (protobuf.dev, "Encoding"): each field
/// is its number and kind, then its value.
/// </summary>
internal static class PayloadWriter
{
    private const int WholeNumber = 0;
    private const int EightBytes = 1;
    private const int Counted = 2;

    /// <param name="milliseconds">When it is sent, ms since 1970-01-01 UTC.</param>
    /// <param name="sequence">Null for a death of the node, which has none.</param>
    public static byte[] Write(long milliseconds, int? sequence, IEnumerable<Metric> metrics)
    {
        ArrayBufferWriter<byte> payload = new(initialCapacity: 512);
        ArrayBufferWriter<byte> one = new(initialCapacity: 128);
        Whole(payload, 1, milliseconds);
        foreach (Metric metric in metrics)
        {
            one.ResetWrittenCount();
            Write(one, metric);
            Bytes(payload, 2, one.WrittenSpan);
        }
        if (sequence is { } number)
            Whole(payload, 3, number);
        return payload.WrittenSpan.ToArray();
    }

    private static void Write(ArrayBufferWriter<byte> into, Metric metric)
    {
        if (metric.Name is { } name)
            Text(into, 1, name);
        if (metric.Alias is { } alias)
            Whole(into, 2, alias);
        Whole(into, 3, metric.Milliseconds);
        MetricValue value = metric.Value;
        if (metric.IsDeclared)
            Whole(into, 4, (int)value.Type);
        if (metric.IsHistorical)
            Whole(into, 5, 1);
        if (value.IsNull)
            Whole(into, 7, 1);
        else if (value.Type is MetricType.Int64 or MetricType.DateTime)
            Whole(into, 11, value.Whole);
        else if (value.Type == MetricType.Double)
            Double(into, 13, value.Number);
        else if (value.Type == MetricType.Boolean)
            Whole(into, 14, value.Whole);
        else
            Text(into, 15, value.Text ?? "");
    }

    private static void Field(ArrayBufferWriter<byte> into, int field, int kind) =>
        Varint.Write(into, (ulong)((field << 3) | kind));

    /// <summary>One below zero takes ten bytes, in two's complement.</summary>
    private static void Whole(ArrayBufferWriter<byte> into, int field, long value)
    {
        Field(into, field, WholeNumber);
        Varint.Write(into, (ulong)value);
    }

    private static void Double(ArrayBufferWriter<byte> into, int field, double value)
    {
        Field(into, field, EightBytes);
        BinaryPrimitives.WriteDoubleLittleEndian(into.GetSpan(sizeof(double)), value);
        into.Advance(sizeof(double));
    }

    private static void Text(ArrayBufferWriter<byte> into, int field, string text)
    {
        Field(into, field, Counted);
        Varint.Write(into, (ulong)Encoding.UTF8.GetByteCount(text));
        Encoding.UTF8.GetBytes(text, into);
    }

    private static void Bytes(ArrayBufferWriter<byte> into, int field, ReadOnlySpan<byte> bytes)
    {
        Field(into, field, Counted);
        Varint.Write(into, (ulong)bytes.Length);
        into.Write(bytes);
    }
}
