namespace Dancerwatch.VirtualMachine.EtherNetIp.Encapsulation;

/// <summary>
/// Data of SendRRData and SendUnitData: interface handle (UDINT, 0), timeout (UINT), then the common packet of an address
/// item and a data item (CIP volume 2, 2-6; from memory).
/// </summary>
internal readonly ref struct CommonPacket
{
    public const ushort NullAddress = 0x0000;
    public const ushort ConnectedAddress = 0x00A1;
    public const ushort ConnectedData = 0x00B1;
    public const ushort UnconnectedData = 0x00B2;

    /// <summary>Connection id of a connected address; else 0.</summary>
    public uint Connection { get; private init; }
    public ReadOnlySpan<byte> Data { get; private init; }

    /// <summary>Takes the frame's data apart; false where it is not of two items with these types.</summary>
    public static bool TryRead(
        ReadOnlySpan<byte> bytes,
        ushort addressType,
        ushort dataType,
        out CommonPacket packet
    )
    {
        ByteReader reader = new(bytes);
        uint interfaceHandle = reader.UInt32();
        reader.UInt16(); // timeout: an answer here never takes long
        ushort items = reader.UInt16();
        ushort firstType = reader.UInt16();
        ReadOnlySpan<byte> address = reader.Take(reader.UInt16());
        ushort secondType = reader.UInt16();
        ReadOnlySpan<byte> data = reader.Take(reader.UInt16());
        packet = new() { Connection = new ByteReader(address).UInt32(), Data = data };
        int addressLength = addressType == ConnectedAddress ? sizeof(uint) : 0;
        return !reader.RanOut
            && interfaceHandle == 0
            && items >= 2
            && firstType == addressType
            && address.Length == addressLength
            && secondType == dataType;
    }

    /// <summary>Writes everything before the data item's length.</summary>
    public static void WriteHead(ref ByteWriter writer, ushort addressType, uint connection, ushort dataType)
    {
        writer.UInt32(0);
        writer.UInt16(0);
        writer.UInt16(2);
        writer.UInt16(addressType);
        if (addressType == ConnectedAddress)
        {
            writer.UInt16(sizeof(uint));
            writer.UInt32(connection);
        }
        else
        {
            writer.UInt16(0);
        }
        writer.UInt16(dataType);
    }
}
