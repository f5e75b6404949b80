using System.Text;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>Builds a message of little-endian fields. Used while connecting only: polls send what was built then.</summary>
internal sealed class ByteBuilder
{
    private readonly List<byte> _bytes = [];

    public ByteBuilder Byte(int value)
    {
        _bytes.Add(checked((byte)value));
        return this;
    }

    public ByteBuilder UInt16(int value) => Byte(checked((ushort)value) & 0xFF).Byte(value >> 8);

    public ByteBuilder UInt32(uint value) => UInt16((int)(value & 0xFFFF)).UInt16((int)(value >> 16));

    public ByteBuilder UInt64(ulong value) => UInt32((uint)value).UInt32((uint)(value >> 32));

    public ByteBuilder Bytes(ReadOnlySpan<byte> bytes)
    {
        _bytes.AddRange(bytes);
        return this;
    }

    public ByteBuilder Ascii(string text) => Bytes(Encoding.ASCII.GetBytes(text));

    /// <summary>A zero where the length is odd: paths are counted in 16-bit words.</summary>
    public ByteBuilder PadToEven() => _bytes.Count % 2 == 0 ? this : Byte(0);

    public int Length => _bytes.Count;

    public byte[] ToArray() => [.. _bytes];
}
