using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

/// <summary>
/// Takes a request to the object it is for, and writes the reply: service with the reply bit, reserved, general status,
/// additional status, data. One request is answered under the table's lock, so a packet of many reads sees one scan.
/// </summary>
internal sealed class MessageRouter(
    TagTable table,
    ControllerServerOptions options,
    ConnectionManager connections,
    ControllerCounters counters
)
{
    /// <summary>Bytes of the reply before its data, with no additional status.</summary>
    private const int HeadLength = 4;

    /// <summary>Least bytes a reply may need: the head and one additional status word.</summary>
    private const int LeastReply = HeadLength + sizeof(ushort);

    private readonly Templates _templates = new();

    /// <summary>Answers one request; the reply's length is at most <paramref name="limit"/>.</summary>
    /// <param name="session">The TCP session it came by.</param>
    /// <returns>Bytes of the reply in <paramref name="reply"/>, which must be larger than the limit by a few hundred.</returns>
    public int Answer(ReadOnlySpan<byte> request, Span<byte> reply, int limit, object session)
    {
        lock (table.Gate)
            return Answer(request, reply, limit, session, Nesting.None);
    }

    private enum Nesting
    {
        None,
        InUnconnectedSend,
        InPacket,
    }

    private int Answer(ReadOnlySpan<byte> bytes, Span<byte> reply, int limit, object session, Nesting nesting)
    {
        CipStatus status = CipRequest.TryParse(bytes, out CipRequest request);
        if (status != CipStatus.Success)
        {
            counters.CountMalformed();
            return Finish(request.Service, status, 0, reply);
        }
        if (nesting == Nesting.None && UnconnectedSend.IsOne(request))
            return AnswerInside(request, reply, limit, session);

        counters.Count(request.Service);
        ByteWriter data = new(reply[HeadLength..], limit - HeadLength);
        status = Serve(request, ref data, session, nesting);
        if (data.IsOverLimit)
            status = CipStatus.ReplyTooLarge;
        return Finish(request.Service, status, status.CarriesData ? data.Length : 0, reply);
    }

    // The reply to an Unconnected Send is that of the request inside; only if it cannot be opened it has one of its own.
    private int AnswerInside(CipRequest request, Span<byte> reply, int limit, object session)
    {
        counters.CountUnconnectedSend();
        CipStatus status = UnconnectedSend.TryOpen(
            request.Data,
            options.Slot,
            out ReadOnlySpan<byte> embedded
        );
        return status == CipStatus.Success
            ? Answer(embedded, reply, limit, session, Nesting.InUnconnectedSend)
            : Finish(request.Service, status, 0, reply);
    }

    // Puts the head before the data, which moves up where there is an additional status word.
    private static int Finish(byte service, CipStatus status, int dataLength, Span<byte> reply)
    {
        bool more = status.Additional is not null;
        if (more)
            reply.Slice(HeadLength, dataLength).CopyTo(reply[LeastReply..]);
        ByteWriter head = new(reply, LeastReply);
        head.Byte((byte)(service | CipService.ReplyBit));
        head.Byte(0);
        head.Byte(status.General);
        head.Byte((byte)(more ? 1 : 0));
        if (more)
            head.UInt16(status.Additional!.Value);
        return head.Length + dataLength;
    }

    private CipStatus Serve(CipRequest request, ref ByteWriter reply, object session, Nesting nesting)
    {
        PathReader path = new(request.Path);
        TagScope? scope = TagPath.Scope(table, ref path);
        Segment first = path.Next();
        uint classId = first.Kind == SegmentKind.Class ? first.Number : 0;
        if (CipService.IsWrite(request.Service, classId))
        {
            counters.CountRefusedWrite();
            return CipStatus.ServiceNotSupported;
        }
        if (path.IsBroken || scope is null)
            return CipStatus.PathSegmentError;
        if (first.Kind == SegmentKind.Symbol)
            return ServeTag(request, ref reply);
        if (first.Kind != SegmentKind.Class)
            return CipStatus.PathSegmentError;

        Segment instance = path.Next();
        return classId switch
        {
            CipClass.Symbol when request.Service == CipService.GetInstanceAttributeList => SymbolObject.List(
                table,
                _templates,
                request,
                ref reply
            ),
            CipClass.Symbol => ServeTag(request, ref reply),
            CipClass.Template => ServeTemplate(instance, request, ref reply),
            _ when instance is not { Kind: SegmentKind.Instance, Number: 1 } =>
                CipStatus.PathDestinationUnknown,
            CipClass.Identity => ServeIdentity(path.Next(), request, ref reply),
            CipClass.MessageRouter => ServePacket(request, ref reply, session, nesting),
            CipClass.ConnectionManager => ServeConnections(request, ref reply, session, nesting),
            _ => CipStatus.PathDestinationUnknown,
        };
    }

    private CipStatus ServeTag(CipRequest request, ref ByteWriter reply) =>
        request.Service switch
        {
            CipService.ReadTag or CipService.ReadTagFragmented => TagReads.Read(
                table,
                _templates,
                request,
                ref reply
            ),
            _ => CipStatus.ServiceNotSupported,
        };

    private CipStatus ServeTemplate(Segment instance, CipRequest request, ref ByteWriter reply)
    {
        Template? template = instance.Kind == SegmentKind.Instance ? _templates.Find(instance.Number) : null;
        return request.Service switch
        {
            _ when template is null => CipStatus.PathDestinationUnknown,
            CipService.GetAttributeList => TemplateObject.GetAttributeList(template, request, ref reply),
            CipService.ReadTag => TemplateObject.Read(template, request, ref reply),
            _ => CipStatus.ServiceNotSupported,
        };
    }

    private CipStatus ServeIdentity(Segment attribute, CipRequest request, ref ByteWriter reply)
    {
        switch (request.Service)
        {
            case CipService.GetAttributesAll:
                IdentityObject.WriteAll(options.Identity, ref reply);
                return CipStatus.Success;
            case CipService.GetAttributeSingle:
                return
                    attribute.Kind == SegmentKind.Attribute
                    && IdentityObject.TryWrite(options.Identity, attribute.Number, ref reply)
                    ? CipStatus.Success
                    : CipStatus.AttributeNotSupported;
            default:
                return CipStatus.ServiceNotSupported;
        }
    }

    private CipStatus ServeConnections(
        CipRequest request,
        ref ByteWriter reply,
        object session,
        Nesting nesting
    ) =>
        request.Service switch
        {
            _ when nesting == Nesting.InPacket => CipStatus.ServiceNotSupported,
            CipService.ForwardOpen => connections.Open(request.Data, large: false, session, ref reply),
            CipService.LargeForwardOpen => connections.Open(request.Data, large: true, session, ref reply),
            CipService.ForwardClose => connections.Close(request.Data, session, ref reply),
            _ => CipStatus.ServiceNotSupported,
        };

    /// <summary>Multiple Service Packet: count (UINT), offsets from the count on (UINT each), requests; the reply likewise.</summary>
    private CipStatus ServePacket(CipRequest request, ref ByteWriter reply, object session, Nesting nesting)
    {
        if (request.Service != CipService.MultipleServicePacket || nesting == Nesting.InPacket)
            return CipStatus.ServiceNotSupported;
        ReadOnlySpan<byte> data = request.Data;
        int count = new ByteReader(data).UInt16();
        int tableLength = sizeof(ushort) * (1 + count);
        if (count == 0 || data.Length < tableLength)
            return CipStatus.NotEnoughData;
        if (tableLength + (count * LeastReply) > reply.Room)
            return CipStatus.ReplyTooLarge;

        Span<byte> whole = reply.Rest;
        int roomAtFirst = reply.Room;
        ByteWriter offsets = new(whole, tableLength);
        offsets.UInt16((ushort)count);
        reply.Skip(tableLength);
        CipStatus status = CipStatus.Success;
        ByteReader starts = new(data[sizeof(ushort)..]);
        int start = starts.UInt16();
        for (int i = 0; i < count; i++)
        {
            int end = i + 1 < count ? starts.UInt16() : data.Length;
            if (start < tableLength || end <= start || end > data.Length)
                return CipStatus.NotEnoughData;
            offsets.UInt16((ushort)(roomAtFirst - reply.Room));
            int limit = reply.Room - ((count - 1 - i) * LeastReply);
            Span<byte> one = reply.Rest;
            reply.Skip(Answer(data[start..end], one, limit, session, Nesting.InPacket));
            if (one[2] != CipStatus.Success.General)
                status = CipStatus.EmbeddedServiceError;
            start = end;
        }
        return status;
    }
}
