using System.Buffers.Binary;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>
/// Decodes the data of a read reply: type code (2), handle (2, structures only), value, little-endian. Whatever the
/// bytes, the outcome says what they are; nothing is thrown and nothing allocated.
/// </summary>
internal static class TagDecoder
{
    /// <param name="plan">The tag, and what is expected of it.</param>
    /// <param name="data">Data of the reply.</param>
    /// <param name="number">The value; NaN for a STRING and wherever the outcome is not good.</param>
    /// <param name="text">Characters of a STRING, one byte each (Latin-1).</param>
    public static TagOutcome Decode(
        TagPlan plan,
        ReadOnlySpan<byte> data,
        out double number,
        out ReadOnlySpan<byte> text
    )
    {
        number = double.NaN;
        text = default;
        if (!TryTakeUInt16(ref data, out ushort type))
            return new TagOutcome(TagStatus.Garbled);
        ushort handle = 0;
        if (type == CipType.Structure && !TryTakeUInt16(ref data, out handle))
            return new TagOutcome(TagStatus.Garbled, Type: type);

        if (!TypeFits(plan, type, handle))
            return new TagOutcome(TagStatus.WrongType, Type: type, Handle: handle);
        bool decoded =
            type == CipType.Structure ? TryText(data, out text)
            : plan.Address.Bit is { } bit ? TryBit(type, data, bit, out number)
            : TryNumber(type, data, out number);
        return decoded ? TagOutcome.Good : new TagOutcome(TagStatus.Garbled, Type: type, Handle: handle);
    }

    private static bool TypeFits(TagPlan plan, ushort type, ushort handle)
    {
        if (plan.Address.InBoolArray)
            return type == CipType.Dword;
        if (plan.Address.Bit is { } bit)
            return CipType.HasBits(type) && bit < 8 * CipType.Size(type);
        return type == CipType.Code(plan.Tag.Type)
            && (type != CipType.Structure || handle == CipType.StringHandle);
    }

    private static bool TryTakeUInt16(ref ReadOnlySpan<byte> data, out ushort value)
    {
        if (!BinaryPrimitives.TryReadUInt16LittleEndian(data, out value))
            return false;
        data = data[sizeof(ushort)..];
        return true;
    }

    private static bool TryNumber(ushort type, ReadOnlySpan<byte> data, out double number)
    {
        number = double.NaN;
        if (data.Length < CipType.Size(type))
            return false;
        number = type switch
        {
            // A controller's true has all bits set; any bit counts.
            CipType.Bool => data[0] == 0 ? 0 : 1,
            CipType.Sint => (sbyte)data[0],
            CipType.Usint => data[0],
            CipType.Int => BinaryPrimitives.ReadInt16LittleEndian(data),
            CipType.Uint => BinaryPrimitives.ReadUInt16LittleEndian(data),
            CipType.Dint => BinaryPrimitives.ReadInt32LittleEndian(data),
            CipType.Udint => BinaryPrimitives.ReadUInt32LittleEndian(data),
            CipType.Lint => BinaryPrimitives.ReadInt64LittleEndian(data),
            CipType.Ulint => BinaryPrimitives.ReadUInt64LittleEndian(data),
            CipType.Real => BinaryPrimitives.ReadSingleLittleEndian(data),
            CipType.Lreal => BinaryPrimitives.ReadDoubleLittleEndian(data),
            _ => double.NaN,
        };
        return true;
    }

    private static bool TryBit(ushort type, ReadOnlySpan<byte> data, int bit, out double number)
    {
        number = double.NaN;
        if (data.Length < CipType.Size(type))
            return false;
        number = (data[bit / 8] >> (bit % 8)) & 1;
        return true;
    }

    private static bool TryText(ReadOnlySpan<byte> data, out ReadOnlySpan<byte> text)
    {
        text = default;
        if (
            !BinaryPrimitives.TryReadInt32LittleEndian(data, out int length)
            || length is < 0 or > CipType.StringCapacity
            || data.Length < sizeof(int) + length
        )
        {
            return false;
        }
        text = data.Slice(sizeof(int), length);
        return true;
    }
}
