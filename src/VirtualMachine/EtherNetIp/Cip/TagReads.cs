using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

/// <summary>Read Tag and Read Tag Fragmented (data access of Logix-class controllers; from memory).</summary>
internal static class TagReads
{
    private const ushort StructureCode = 0x02A0;
    private const byte True = 0xFF;

    /// <summary>
    /// Request data: number of elements (UINT) and, of a fragment, byte offset (UDINT). Reply data: type, then values.
    /// </summary>
    public static CipStatus Read(
        TagTable table,
        Templates templates,
        CipRequest request,
        ref ByteWriter reply
    )
    {
        ByteReader data = new(request.Data);
        ushort count = data.UInt16();
        uint offset = request.Service == CipService.ReadTagFragmented ? data.UInt32() : 0;
        CipStatus found = TagPath.TryFind(table, request.Path, out TagLocation location);
        if (found != CipStatus.Success)
            return found;
        if (data.RanOut)
            return CipStatus.NotEnoughData;
        if (!data.Left.IsEmpty)
            return CipStatus.TooMuchData;
        if (count == 0 || count > location.Length)
            return CipStatus.ElementsBeyondEnd;
        int size = count * location.Type.Size;
        if (offset >= size)
            return CipStatus.OffsetBeyondEnd;

        WriteType(location.Type, templates, ref reply);
        if (location.Type == ElementaryType.Bool)
        {
            bool isSet = (location.Tag.Bytes[location.Offset] & (1 << location.Bit)) != 0;
            reply.Byte(isSet ? True : (byte)0);
            return CipStatus.Success;
        }
        int left = size - (int)offset;
        int fits = left <= reply.Room ? left : WholeElements(reply.Room, location.Type);
        reply.Bytes(location.Tag.Bytes.AsSpan(location.Offset + (int)offset, fits));
        return fits == left ? CipStatus.Success : CipStatus.PartialTransfer;
    }

    private static void WriteType(DataType type, Templates templates, ref ByteWriter reply)
    {
        if (type is StructureType structure)
        {
            reply.UInt16(StructureCode);
            reply.UInt16(templates.Of(structure).Handle);
        }
        else
        {
            reply.UInt16(((ElementaryType)type).Code);
        }
    }

    // A structure may be cut anywhere; words of four bytes keep its members whole.
    private static int WholeElements(int room, DataType type)
    {
        int unit = type is StructureType ? sizeof(uint) : type.Size;
        return room / unit * unit;
    }
}
