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

    public string Describe() => CipStatus.Describe(Status, Extended);
}
