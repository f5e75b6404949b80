using System.Runtime.InteropServices;

namespace Dancerwatch.VirtualMachine.Tags;

/// <summary>Handle on an array of a <see cref="TagTable"/>; types and visibility as for <see cref="TagCell{T}"/>.</summary>
public abstract class TagArray<T>
    where T : unmanaged
{
    private protected TagArray(TagTable table, Tag tag, int offset, int length) =>
        (Table, Tag, Offset, Length) = (table, tag, offset, length);

    private protected TagTable Table { get; }
    private protected Tag Tag { get; }
    private protected int Offset { get; }

    public int Length { get; }

    /// <exception cref="ArgumentOutOfRangeException"><paramref name="index"/> is not within 0 to <see cref="Length"/> - 1.</exception>
    public T this[int index]
    {
        get
        {
            Check(index);
            lock (Table.Gate)
                return Get(Tag.Bytes.AsSpan(Offset), index);
        }
        set
        {
            Check(index);
            lock (Table.Gate)
                Set(Tag.Bytes.AsSpan(Offset), index, value);
        }
    }

    private protected abstract T Get(ReadOnlySpan<byte> bytes, int index);
    private protected abstract void Set(Span<byte> bytes, int index, T value);

    private void Check(int index)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(index);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(index, Length);
    }
}

internal sealed class NumberArray<T>(TagTable table, Tag tag, int offset, int length)
    : TagArray<T>(table, tag, offset, length)
    where T : unmanaged
{
    private protected override T Get(ReadOnlySpan<byte> bytes, int index) =>
        MemoryMarshal.Cast<byte, T>(bytes)[index];

    private protected override void Set(Span<byte> bytes, int index, T value) =>
        MemoryMarshal.Cast<byte, T>(bytes)[index] = value;
}

/// <summary>BOOLs, 32 to a DWORD, the first in the lowest bit.</summary>
internal sealed class BitArrayCell(TagTable table, Tag tag, int offset, int length)
    : TagArray<bool>(table, tag, offset, length)
{
    private protected override bool Get(ReadOnlySpan<byte> bytes, int index) =>
        (bytes[index / 8] & (1 << (index % 8))) != 0;

    private protected override void Set(Span<byte> bytes, int index, bool value)
    {
        int mask = 1 << (index % 8);
        ref byte host = ref bytes[index / 8];
        host = (byte)(value ? host | mask : host & ~mask);
    }
}
