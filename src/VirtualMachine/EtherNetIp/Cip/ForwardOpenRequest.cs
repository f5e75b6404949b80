namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

/// <summary>Data of Forward Open and Large Forward Open (CIP volume 1, 3-5.4; from memory). The large one has wider parameters.</summary>
internal readonly ref struct ForwardOpenRequest
{
    private const uint PointToPoint = 2;

    public uint OriginatorId { get; private init; }
    public ConnectionSerial Serial { get; private init; }
    public byte TimeoutMultiplierCode { get; private init; }

    /// <summary>Requested packet intervals, microseconds.</summary>
    public uint RequestIntervalMicroseconds { get; private init; }
    public uint ReplyIntervalMicroseconds { get; private init; }
    public int RequestSize { get; private init; }
    public int ReplySize { get; private init; }
    public bool IsPointToPoint { get; private init; }

    /// <summary>Low half is the class: 3 for explicit messages.</summary>
    public byte Transport { get; private init; }
    public ReadOnlySpan<byte> Path { get; private init; }

    public static bool TryParse(ReadOnlySpan<byte> data, bool large, out ForwardOpenRequest request)
    {
        ByteReader reader = new(data);
        reader.Take(6); // priority, ticks, and an O->T id the target chooses anew
        uint originatorId = reader.UInt32();
        ConnectionSerial serial = new(reader.UInt16(), reader.UInt16(), reader.UInt32());
        byte multiplier = reader.Byte();
        reader.Take(3);
        uint requestInterval = reader.UInt32();
        uint requestParameters = large ? reader.UInt32() : reader.UInt16();
        uint replyInterval = reader.UInt32();
        uint replyParameters = large ? reader.UInt32() : reader.UInt16();
        byte transport = reader.Byte();
        ReadOnlySpan<byte> path = reader.Take(2 * reader.Byte());
        request = new()
        {
            OriginatorId = originatorId,
            Serial = serial,
            TimeoutMultiplierCode = multiplier,
            RequestIntervalMicroseconds = requestInterval,
            ReplyIntervalMicroseconds = replyInterval,
            RequestSize = Size(requestParameters, large),
            ReplySize = Size(replyParameters, large),
            IsPointToPoint =
                Type(requestParameters, large) == PointToPoint
                && Type(replyParameters, large) == PointToPoint,
            Transport = transport,
            Path = path,
        };
        return !reader.RanOut;
    }

    private static int Size(uint parameters, bool large) => (int)(parameters & (large ? 0xFFFFu : 0x1FF));

    private static uint Type(uint parameters, bool large) => (parameters >> (large ? 29 : 13)) & 3;
}
