namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>How far a tag has proved that it must be read apart from the others.</summary>
internal enum ReadMode
{
    /// <summary>With others, in a Multiple Service Packet.</summary>
    Packed,

    /// <summary>By a Read Tag of its own.</summary>
    Alone,

    /// <summary>By Read Tag Fragmented, since its reply does not fit.</summary>
    Fragmented,
}

/// <summary>One request and the tags it reads, by place.</summary>
internal sealed record Packet(int[] Tags, byte[] Message, ReadMode Mode);

/// <summary>
/// Splits tags into as few packets as the sizes of request and reply allow, in their order. A Multiple Service Packet
/// (service 0x0A to the message router) holds a count, an offset for each service, and the services; its reply the same.
/// </summary>
internal static class RequestPacker
{
    private const int OffsetLength = 2;
    private const int CountLength = 2;
    private const int RequestOverhead = 2 + 4 + CountLength;
    private const int ReplyOverhead = 4 + CountLength;

    /// <param name="plans">A plan for each tag; null for tags that cannot be asked for.</param>
    /// <param name="modes">How each tag is to be read.</param>
    /// <param name="largestRequest">Most bytes of a request message.</param>
    /// <param name="largestReply">Most bytes of a reply message.</param>
    public static IReadOnlyList<Packet> Pack(
        IReadOnlyList<TagPlan?> plans,
        IReadOnlyList<ReadMode> modes,
        int largestRequest,
        int largestReply
    )
    {
        List<Packet> packets = [];
        List<int> open = [];
        int request = RequestOverhead;
        int reply = ReplyOverhead;
        for (int i = 0; i < plans.Count; i++)
        {
            if (plans[i] is not { } plan)
                continue;
            if (modes[i] != ReadMode.Packed)
            {
                byte[] message = modes[i] == ReadMode.Alone ? plan.ReadMessage : plan.FragmentMessage;
                packets.Add(new Packet([i], message, modes[i]));
                continue;
            }
            int requestGrowth = OffsetLength + plan.ReadMessage.Length;
            int replyGrowth = OffsetLength + plan.ReplyLength;
            if (request + requestGrowth > largestRequest || reply + replyGrowth > largestReply)
                Close();
            open.Add(i);
            request += requestGrowth;
            reply += replyGrowth;
        }
        Close();
        return packets;

        void Close()
        {
            if (open.Count > 0)
                packets.Add(new Packet([.. open], Combine(plans, open), ReadMode.Packed));
            open.Clear();
            request = RequestOverhead;
            reply = ReplyOverhead;
        }
    }

    // A lone tag needs no packet around it.
    private static byte[] Combine(IReadOnlyList<TagPlan?> plans, List<int> tags)
    {
        if (tags.Count == 1)
            return plans[tags[0]]!.ReadMessage;
        ByteBuilder message = new();
        message
            .Byte(CipService.MultipleServicePacket)
            .Byte(CipPath.MessageRouter.Length / 2)
            .Bytes(CipPath.MessageRouter)
            .UInt16(tags.Count);
        int offset = CountLength + (tags.Count * OffsetLength);
        foreach (int tag in tags)
        {
            message.UInt16(offset);
            offset += plans[tag]!.ReadMessage.Length;
        }
        foreach (int tag in tags)
            message.Bytes(plans[tag]!.ReadMessage);
        return message.ToArray();
    }
}
