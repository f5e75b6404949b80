namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

/// <summary>A request to the message router: service, path length in words, path, data.</summary>
internal readonly ref struct CipRequest
{
    public byte Service { get; private init; }
    public ReadOnlySpan<byte> Path { get; private init; }
    public ReadOnlySpan<byte> Data { get; private init; }

    public static CipStatus TryParse(ReadOnlySpan<byte> bytes, out CipRequest request)
    {
        ByteReader reader = new(bytes);
        byte service = reader.Byte();
        int pathBytes = 2 * reader.Byte();
        bool headIsShort = reader.RanOut;
        ReadOnlySpan<byte> path = reader.Take(pathBytes);
        request = new()
        {
            Service = service,
            Path = path,
            Data = reader.Left,
        };
        return headIsShort ? CipStatus.NotEnoughData
            : reader.RanOut ? CipStatus.PathSizeInvalid
            : CipStatus.Success;
    }
}
