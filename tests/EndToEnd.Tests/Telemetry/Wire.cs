using System.Buffers.Binary;
using System.Text;

namespace Dancerwatch.EndToEnd.Tests.Telemetry;

/// <summary>One field of a message in the wire format of Protocol Buffers (protobuf.dev/programming-guides/encoding).</summary>
/// <param name="Number">Of the field, as in the proto file.</param>
/// <param name="Value">A number's; 0 for bytes.</param>
/// <param name="Bytes">Of a text or a message; empty for a number.</param>
internal readonly record struct Wire(int Number, ulong Value, ReadOnlyMemory<byte> Bytes)
{
    public string Text => Encoding.UTF8.GetString(Bytes.Span);

    public string Hex => Convert.ToHexString(Bytes.Span);

    /// <summary>The fields of this message that bear a number.</summary>
    public IEnumerable<Wire> All(int number) => FieldsOf(Bytes).Where(field => field.Number == number);

    /// <summary>The field with a number; the default where there is none.</summary>
    public Wire this[int number] => All(number).LastOrDefault();

    public static IEnumerable<Wire> FieldsOf(ReadOnlyMemory<byte> message)
    {
        int at = 0;
        while (at < message.Length)
        {
            ulong tag = Varint(message.Span, ref at);
            int number = (int)(tag >> 3);
            switch (tag & 7)
            {
                case 0:
                    yield return new Wire(number, Varint(message.Span, ref at), default);
                    break;
                case 1:
                    yield return new Wire(
                        number,
                        BinaryPrimitives.ReadUInt64LittleEndian(message.Span[at..]),
                        default
                    );
                    at += sizeof(ulong);
                    break;
                case 2:
                    int length = (int)Varint(message.Span, ref at);
                    yield return new Wire(number, 0, message.Slice(at, length));
                    at += length;
                    break;
                case 5:
                    yield return new Wire(
                        number,
                        BinaryPrimitives.ReadUInt32LittleEndian(message.Span[at..]),
                        default
                    );
                    at += sizeof(uint);
                    break;
                default:
                    throw new InvalidDataException($"wire type {tag & 7}");
            }
        }
    }

    private static ulong Varint(ReadOnlySpan<byte> from, ref int at)
    {
        ulong value = 0;
        for (int shift = 0; ; shift += 7)
        {
            byte next = from[at++];
            value |= (ulong)(next & 0x7F) << shift;
            if (next < 0x80)
                return value;
        }
    }
}
