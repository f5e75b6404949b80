using System.Buffers.Binary;

namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>Commands of the encapsulation layer that this driver uses (CIP volume 2, chapter 2).</summary>
internal enum EncapsulationCommand : ushort
{
    RegisterSession = 0x0065,
    UnregisterSession = 0x0066,

    /// <summary>Carries unconnected messages.</summary>
    SendRequestReplyData = 0x006F,

    /// <summary>Carries connected messages.</summary>
    SendUnitData = 0x0070,
}

/// <summary>A frame that came: header fields, and the body, which is valid until the next receive.</summary>
internal readonly record struct Frame(uint Session, uint Status, ulong Context, ReadOnlyMemory<byte> Body);

/// <summary>
/// The 24-byte header on every frame, all little-endian: command (2), body length (2), session (4), status (4), sender
/// context (8), options (4).
/// </summary>
internal static class Encapsulation
{
    public const int HeaderLength = 24;
    public const int ContextOffset = 12;

    public static byte[] Build(EncapsulationCommand command, uint session, ReadOnlySpan<byte> body) =>
        new ByteBuilder()
            .UInt16((ushort)command)
            .UInt16(body.Length)
            .UInt32(session)
            .UInt32(0)
            .UInt64(0)
            .UInt32(0)
            .Bytes(body)
            .ToArray();

    public static EncapsulationCommand Command(ReadOnlySpan<byte> header) =>
        (EncapsulationCommand)BinaryPrimitives.ReadUInt16LittleEndian(header);

    public static int BodyLength(ReadOnlySpan<byte> header) =>
        BinaryPrimitives.ReadUInt16LittleEndian(header[2..]);

    public static Frame Parse(ReadOnlyMemory<byte> frame)
    {
        ReadOnlySpan<byte> header = frame.Span;
        return new Frame(
            BinaryPrimitives.ReadUInt32LittleEndian(header[4..]),
            BinaryPrimitives.ReadUInt32LittleEndian(header[8..]),
            BinaryPrimitives.ReadUInt64LittleEndian(header[ContextOffset..]),
            frame[HeaderLength..]
        );
    }

    /// <summary>What an encapsulation status other than 0 means.</summary>
    public static string Describe(uint status) =>
        status switch
        {
            0x0001 => "it does not know the command (encapsulation status 0x0001)",
            0x0002 => "it is short of memory (encapsulation status 0x0002)",
            0x0003 => "it found the data wrong (encapsulation status 0x0003)",
            0x0064 => "it does not know the session (encapsulation status 0x0064)",
            0x0065 => "it found the length wrong (encapsulation status 0x0065)",
            0x0069 => "it does not speak this protocol version (encapsulation status 0x0069)",
            _ => $"encapsulation status 0x{status:X4}",
        };
}
