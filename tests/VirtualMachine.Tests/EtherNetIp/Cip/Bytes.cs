using System.Buffers.Binary;
using System.Text;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;

/// <summary>
/// Builds requests from the encodings of the open CIP and EtherNet/IP specification (volumes 1 and 2, from memory), on its
/// own: nothing of the server's encoding is used, so that a mistake there cannot hide here.
/// </summary>
internal static class Bytes
{
    public const string MessageRouter = "2002 2401";
    public const string ConnectionManager = "2006 2401";

    public static byte[] Hex(string hex) =>
        Convert.FromHexString(hex.Replace(" ", "", StringComparison.Ordinal));

    public static byte[] UInt16(int value)
    {
        byte[] bytes = new byte[2];
        BinaryPrimitives.WriteUInt16LittleEndian(bytes, (ushort)value);
        return bytes;
    }

    public static byte[] UInt32(uint value)
    {
        byte[] bytes = new byte[4];
        BinaryPrimitives.WriteUInt32LittleEndian(bytes, value);
        return bytes;
    }

    /// <summary>A symbol segment (0x91, length, ASCII, padded to even) for each part between dots.</summary>
    public static byte[] Symbols(string name) => [.. name.Split('.').SelectMany(part => Symbol(part))];

    /// <summary>Service, path length in words, path, data.</summary>
    public static byte[] Request(byte service, byte[] path, byte[] data) =>
        [service, (byte)(path.Length / 2), .. path, .. data];

    public static byte[] ReadTag(string name, int count = 1) => ReadTag(Symbols(name), count);

    public static byte[] ReadTag(byte[] path, int count = 1) => Request(0x4C, path, UInt16(count));

    public static byte[] ReadFragment(string name, int count, int offset) =>
        Request(0x52, Symbols(name), [.. UInt16(count), .. UInt32((uint)offset)]);

    /// <summary>Multiple Service Packet to the message router: count, offsets, requests.</summary>
    public static byte[] Packet(params byte[][] requests)
    {
        List<byte> offsets = [];
        int offset = 2 + (2 * requests.Length);
        foreach (byte[] request in requests)
        {
            offsets.AddRange(UInt16(offset));
            offset += request.Length;
        }
        return Request(
            0x0A,
            Hex(MessageRouter),
            [.. UInt16(requests.Length), .. offsets, .. requests.SelectMany(request => request)]
        );
    }

    /// <summary>Unconnected Send: ticks, length, request, pad, route in words, reserved, route.</summary>
    public static byte[] UnconnectedSend(byte[] request, string route = "0100")
    {
        byte[] path = Hex(route);
        byte[] pad = request.Length % 2 == 1 ? [0] : [];
        return Request(
            0x52,
            Hex(ConnectionManager),
            [0x05, 0x9C, .. UInt16(request.Length), .. request, .. pad, (byte)(path.Length / 2), 0, .. path]
        );
    }

    /// <summary>Frame of the encapsulation: command, length, session, status, context, options, data.</summary>
    public static byte[] Frame(int command, uint session, byte[] data, string context = "0102030405060708") =>
        [
            .. UInt16(command),
            .. UInt16(data.Length),
            .. UInt32(session),
            .. UInt32(0),
            .. Hex(context),
            .. UInt32(0),
            .. data,
        ];

    public static byte[] RegisterSession() => Frame(0x65, 0, Hex("0100 0000"));

    /// <summary>SendRRData: interface, timeout, two items: null address, unconnected data.</summary>
    public static byte[] SendRRData(uint session, byte[] request) =>
        Frame(
            0x6F,
            session,
            [.. Hex("00000000 0A00 0200 0000 0000 B200"), .. UInt16(request.Length), .. request]
        );

    /// <summary>SendUnitData: interface, timeout, two items: connected address, connected data with its sequence count.</summary>
    public static byte[] SendUnitData(uint session, uint connection, int sequence, byte[] request) =>
        Frame(
            0x70,
            session,
            [
                .. Hex("00000000 0000 0200 A100 0400"),
                .. UInt32(connection),
                .. Hex("B100"),
                .. UInt16(request.Length + 2),
                .. UInt16(sequence),
                .. request,
            ]
        );

    private static byte[] Symbol(string part)
    {
        byte[] name = Encoding.ASCII.GetBytes(part);
        byte[] pad = name.Length % 2 == 1 ? [0] : [];
        return [0x91, (byte)name.Length, .. name, .. pad];
    }
}
