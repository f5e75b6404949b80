namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

/// <summary>Template object (class 0x6C): how a structure is laid out, for clients that browse (from memory).</summary>
internal static class TemplateObject
{
    private const ushort Handle = 1;
    private const ushort MemberCount = 2;
    private const ushort DefinitionWords = 4;
    private const ushort StructureBytes = 5;

    /// <summary>Request data: count (UINT), attribute ids (UINT each). Reply data: count, then id, status and value of each.</summary>
    public static CipStatus GetAttributeList(Template template, CipRequest request, ref ByteWriter reply)
    {
        ByteReader data = new(request.Data);
        ushort count = data.UInt16();
        if (data.Left.Length < count * sizeof(ushort))
            return CipStatus.NotEnoughData;
        reply.UInt16(count);
        for (int i = 0; i < count; i++)
        {
            ushort attribute = data.UInt16();
            if (reply.Room < 8)
                return CipStatus.ReplyTooLarge;
            reply.UInt16(attribute);
            reply.UInt16(0);
            switch (attribute)
            {
                case Handle:
                    reply.UInt16(template.Handle);
                    break;
                case MemberCount:
                    reply.UInt16((ushort)template.Type.Members.Count);
                    break;
                case DefinitionWords:
                    reply.UInt32(template.DefinitionWords);
                    break;
                case StructureBytes:
                    reply.UInt32((uint)template.Type.Size);
                    break;
                default:
                    return CipStatus.AttributeNotSupported;
            }
        }
        return CipStatus.Success;
    }

    /// <summary>Request data: byte offset (UDINT), bytes wanted (UINT). Reply data: that part of the definition.</summary>
    public static CipStatus Read(Template template, CipRequest request, ref ByteWriter reply)
    {
        ByteReader data = new(request.Data);
        uint offset = data.UInt32();
        ushort wanted = data.UInt16();
        if (data.RanOut)
            return CipStatus.NotEnoughData;
        if (offset > template.Definition.Length)
            return CipStatus.OffsetBeyondEnd;
        int left = Math.Min(wanted, template.Definition.Length - (int)offset);
        int fits = Math.Min(left, reply.Room);
        reply.Bytes(template.Definition.AsSpan((int)offset, fits));
        return fits == left ? CipStatus.Success : CipStatus.PartialTransfer;
    }
}
