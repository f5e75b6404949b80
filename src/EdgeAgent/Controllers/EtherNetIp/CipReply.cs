using System.Buffers.Binary;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>One CIP reply: which service, how it ended, and its data.</summary>
internal readonly ref struct CipReply
{
    private const int FixedLength = 4;

    /// <summary>Service code asked for, without the reply bit.</summary>
    public required byte Service { get; init; }
    public required byte Status { get; init; }

    /// <summary>First word of the extended status; 0 where there is none.</summary>
    public required ushort Extended { get; init; }
    public required ReadOnlySpan<byte> Data { get; init; }

    /// <returns>False where the bytes are no reply.</returns>
    public static bool TryParse(ReadOnlySpan<byte> bytes, out CipReply reply)
    {
        reply = default;
        if (bytes.Length < FixedLength || (bytes[0] & CipService.ReplyBit) == 0)
            return false;
        int dataStart = FixedLength + (bytes[3] * 2);
        if (bytes.Length < dataStart)
            return false;
        reply = new CipReply
        {
            Service = (byte)(bytes[0] & ~CipService.ReplyBit),
            Status = bytes[2],
            Extended =
                bytes[3] == 0 ? (ushort)0 : BinaryPrimitives.ReadUInt16LittleEndian(bytes[FixedLength..]),
            Data = bytes[dataStart..],
        };
        return true;
    }

    /// <summary>The reply to a request for a service.</summary>
    /// <exception cref="LinkException">It is none, or says that the route led nowhere.</exception>
    public static CipReply To(ReadOnlySpan<byte> bytes, byte service)
    {
        if (!TryParse(bytes, out CipReply reply))
            throw LinkException.Garbled("a reply too short to be one");
        if (reply.Service == service)
            return reply;
        if (reply.Service == CipService.UnconnectedSend && reply.Status != CipStatus.Success)
        {
            throw new LinkException(
                TagStatus.ControllerError,
                $"could not pass a request on over its route: {reply.Describe()}. Check the route ('1,0' leads to slot 0) and that a processor is there"
            );
        }
        throw LinkException.Garbled($"a reply to service 0x{reply.Service:X2}, which was not asked for");
    }

    public string Describe() => CipStatus.Describe(Status, Extended);
}
