namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

/// <summary>Judges a route: nothing, or the backplane port and the controller's slot.</summary>
internal static class Route
{
    private const uint Backplane = 1;
    private const ushort InvalidPort = 0x0311;
    private const ushort InvalidLinkAddress = 0x0312;
    private const ushort InvalidSegment = 0x0315;

    /// <summary>Why the route does not lead here, as the connection manager's additional status; null: it does.</summary>
    /// <param name="toMessageRouter">After the ports the path must name the message router, instance 1.</param>
    public static ushort? Refusal(ReadOnlySpan<byte> path, byte slot, bool toMessageRouter)
    {
        PathReader reader = new(path);
        Segment segment = reader.Next();
        if (segment.Kind == SegmentKind.Port)
        {
            if (segment.Number != Backplane)
                return InvalidPort;
            if (segment.Text is not [var link] || link != slot)
                return InvalidLinkAddress;
            segment = reader.Next();
        }
        if (toMessageRouter)
        {
            bool isRouter = segment is { Kind: SegmentKind.Class, Number: CipClass.MessageRouter };
            segment = reader.Next();
            if (!isRouter || segment is not { Kind: SegmentKind.Instance, Number: 1 })
                return InvalidSegment;
            segment = reader.Next();
        }
        return segment.Kind == SegmentKind.None && !reader.IsBroken ? null : InvalidSegment;
    }
}
