using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Text;

namespace Dancerwatch.VirtualMachine.Tags;

/// <summary>
/// Handle on one value of a <see cref="TagTable"/>. Setting allocates nothing. Inside <see cref="TagTable.BeginScan"/>
/// what is set becomes visible together with the rest of the scan, outside of it at once.
/// </summary>
/// <typeparam name="T">
/// <see cref="bool"/> for BOOL, <see cref="sbyte"/> SINT, <see cref="short"/> INT, <see cref="int"/> DINT, <see cref="long"/>
/// LINT, <see cref="float"/> REAL, <see cref="double"/> LREAL, <see cref="string"/> STRING.
/// </typeparam>
public abstract class TagCell<T>
{
    private protected TagCell(TagTable table, Tag tag, int offset) =>
        (Table, Tag, Offset) = (table, tag, offset);

    private protected TagTable Table { get; }
    private protected Tag Tag { get; }
    private protected int Offset { get; }

    public T Value
    {
        get
        {
            lock (Table.Gate)
                return Get(Tag.Bytes.AsSpan(Offset));
        }
        set
        {
            lock (Table.Gate)
                Set(Tag.Bytes.AsSpan(Offset), value);
        }
    }

    /// <summary>Handle on one bit of this integer, 0 being the lowest.</summary>
    /// <exception cref="ArgumentOutOfRangeException">This cell has no such bit; only SINT, INT, DINT and LINT have bits.</exception>
    public TagCell<bool> Bit(int bit)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(bit);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(bit, BitCount);
        return new BitCell(Table, Tag, Offset + (bit / 8), bit % 8);
    }

    private protected virtual int BitCount => 0;
    private protected abstract T Get(ReadOnlySpan<byte> bytes);
    private protected abstract void Set(Span<byte> bytes, T value);
}

internal sealed class NumberCell<T>(TagTable table, Tag tag, int offset) : TagCell<T>(table, tag, offset)
    where T : unmanaged
{
    private protected override int BitCount =>
        typeof(T) == typeof(float) || typeof(T) == typeof(double) ? 0 : 8 * Unsafe.SizeOf<T>();

    private protected override T Get(ReadOnlySpan<byte> bytes) => MemoryMarshal.Read<T>(bytes);

    private protected override void Set(Span<byte> bytes, T value) => MemoryMarshal.Write(bytes, value);
}

/// <summary>A BOOL, alone in its byte (bit 0) or packed with others, or one bit of an integer.</summary>
internal sealed class BitCell(TagTable table, Tag tag, int offset, int bit)
    : TagCell<bool>(table, tag, offset)
{
    private readonly byte _mask = (byte)(1 << bit);

    private protected override bool Get(ReadOnlySpan<byte> bytes) => (bytes[0] & _mask) != 0;

    private protected override void Set(Span<byte> bytes, bool value) =>
        bytes[0] = (byte)(value ? bytes[0] | _mask : bytes[0] & ~_mask);
}

internal sealed class StringCell(TagTable table, Tag tag, int offset) : TagCell<string>(table, tag, offset)
{
    private protected override string Get(ReadOnlySpan<byte> bytes) =>
        Encoding.Latin1.GetString(bytes.Slice(StructureType.TextDataOffset, MemoryMarshal.Read<int>(bytes)));

    private protected override void Set(Span<byte> bytes, string value)
    {
        ArgumentNullException.ThrowIfNull(value);
        if (value.Length > StructureType.TextCapacity)
        {
            throw new ArgumentException(
                $"'{value}' has {value.Length} characters; a STRING holds up to {StructureType.TextCapacity}.",
                nameof(value)
            );
        }
        Span<byte> text = bytes.Slice(StructureType.TextDataOffset, StructureType.TextCapacity);
        text.Clear();
        MemoryMarshal.Write(bytes, Encoding.Latin1.GetBytes(value, text));
    }
}
