namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

/// <summary>
/// Unconnected Send to the connection manager: priority and ticks, length of the embedded request (UINT), the request, a pad
/// where that is odd, route length in words, reserved, route (CIP volume 1, 3-5.5.4; from memory).
/// </summary>
internal static class UnconnectedSend
{
    public static bool IsOne(CipRequest request)
    {
        PathReader path = new(request.Path);
        return request.Service == CipService.UnconnectedSend
            && path.Next() is { Kind: SegmentKind.Class, Number: CipClass.ConnectionManager };
    }

    public static CipStatus TryOpen(ReadOnlySpan<byte> data, byte slot, out ReadOnlySpan<byte> embedded)
    {
        ByteReader reader = new(data);
        reader.UInt16();
        int length = reader.UInt16();
        embedded = reader.Take(length);
        if (length % 2 == 1)
            reader.Byte();
        int routeBytes = 2 * reader.Byte();
        reader.Byte();
        ReadOnlySpan<byte> route = reader.Take(routeBytes);
        if (reader.RanOut)
            return CipStatus.NotEnoughData;
        return Route.Refusal(route, slot, toMessageRouter: false) is { } wrongRoute
            ? CipStatus.ConnectionFailure(wrongRoute)
            : CipStatus.Success;
    }
}
