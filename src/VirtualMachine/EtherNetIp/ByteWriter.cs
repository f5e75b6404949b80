using System.Buffers.Binary;

namespace Dancerwatch.VirtualMachine.EtherNetIp;

/// <summary>Fills a buffer from its start, little-endian, as CIP and the encapsulation do.</summary>
/// <param name="buffer">Room that is always enough for what is written, which may be a little more than <paramref name="limit"/>.</param>
/// <param name="limit">Bytes the reply may have in the end. Those who can answer in parts heed <see cref="Room"/>.</param>
internal ref struct ByteWriter(Span<byte> buffer, int limit)
{
    private readonly Span<byte> _buffer = buffer;

    public int Length { get; private set; }

    /// <summary>Bytes left within the limit; never negative.</summary>
    public readonly int Room => Math.Max(0, limit - Length);

    public readonly bool IsOverLimit => Length > limit;

    public readonly ReadOnlySpan<byte> Written => _buffer[..Length];

    /// <summary>What lies after what is written, for those who write there themselves and then <see cref="Skip"/> it.</summary>
    public readonly Span<byte> Rest => _buffer[Length..];

    public void Skip(int count) => Length += count;

    public void Byte(byte value) => _buffer[Length++] = value;

    public void UInt16(ushort value)
    {
        BinaryPrimitives.WriteUInt16LittleEndian(Rest, value);
        Length += sizeof(ushort);
    }

    public void UInt32(uint value)
    {
        BinaryPrimitives.WriteUInt32LittleEndian(Rest, value);
        Length += sizeof(uint);
    }

    public void Bytes(scoped ReadOnlySpan<byte> value)
    {
        value.CopyTo(Rest);
        Length += value.Length;
    }
}
