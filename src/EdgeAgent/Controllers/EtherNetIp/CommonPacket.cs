using System.Buffers.Binary;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>
/// The body of the two data commands: interface handle (4), timeout (2), item count (2), then an address item and a data
/// item, each with type (2), length (2) and content.
/// </summary>
internal static class CommonPacket
{
    public const ushort NullAddress = 0x0000;
    public const ushort ConnectedAddress = 0x00A1;
    public const ushort ConnectedData = 0x00B1;
    public const ushort UnconnectedData = 0x00B2;

    private const int ItemsStart = 8;
    private const int ItemHeaderLength = 4;

    /// <summary>Bytes before the content of the data item.</summary>
    public static int DataStart(int addressLength) => ItemsStart + (2 * ItemHeaderLength) + addressLength;

    public static byte[] Build(
        ushort addressType,
        ReadOnlySpan<byte> address,
        ushort dataType,
        ReadOnlySpan<byte> data
    ) =>
        new ByteBuilder()
            .UInt32(0)
            .UInt16(0)
            .UInt16(2)
            .UInt16(addressType)
            .UInt16(address.Length)
            .Bytes(address)
            .UInt16(dataType)
            .UInt16(data.Length)
            .Bytes(data)
            .ToArray();

    /// <summary>Finds the content of one item.</summary>
    /// <returns>False where the body is malformed or has no such item.</returns>
    public static bool TryFind(ReadOnlyMemory<byte> body, ushort type, out ReadOnlyMemory<byte> content)
    {
        content = default;
        ReadOnlySpan<byte> bytes = body.Span;
        if (bytes.Length < ItemsStart)
            return false;
        int items = BinaryPrimitives.ReadUInt16LittleEndian(bytes[(ItemsStart - 2)..]);
        int at = ItemsStart;
        for (int i = 0; i < items && bytes.Length - at >= ItemHeaderLength; i++)
        {
            int length = BinaryPrimitives.ReadUInt16LittleEndian(bytes[(at + 2)..]);
            if (bytes.Length - at - ItemHeaderLength < length)
                return false;
            if (BinaryPrimitives.ReadUInt16LittleEndian(bytes[at..]) == type)
            {
                content = body.Slice(at + ItemHeaderLength, length);
                return true;
            }
            at += ItemHeaderLength + length;
        }
        return false;
    }
}
