using System.Buffers.Binary;

namespace Dancerwatch.VirtualMachine.EtherNetIp;

/// <summary>
/// Reads a message from its start, little-endian. Reading past the end gives zeros and is remembered by
/// <see cref="RanOut"/>, so that a message can be taken apart first and judged once.
/// </summary>
internal ref struct ByteReader(ReadOnlySpan<byte> bytes)
{
    private ReadOnlySpan<byte> _left = bytes;

    public bool RanOut { get; private set; }

    public readonly ReadOnlySpan<byte> Left => _left;

    public byte Byte() => Take(1) is { IsEmpty: false } bytes ? bytes[0] : (byte)0;

    public ushort UInt16() =>
        Take(sizeof(ushort)) is { IsEmpty: false } bytes
            ? BinaryPrimitives.ReadUInt16LittleEndian(bytes)
            : (ushort)0;

    public uint UInt32() =>
        Take(sizeof(uint)) is { IsEmpty: false } bytes ? BinaryPrimitives.ReadUInt32LittleEndian(bytes) : 0;

    /// <summary>The next bytes; none of them where fewer are left.</summary>
    public ReadOnlySpan<byte> Take(int count)
    {
        if (count > _left.Length)
        {
            RanOut = true;
            _left = default;
            return default;
        }
        ReadOnlySpan<byte> taken = _left[..count];
        _left = _left[count..];
        return taken;
    }
}
