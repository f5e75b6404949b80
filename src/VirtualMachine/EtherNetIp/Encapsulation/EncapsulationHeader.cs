namespace Dancerwatch.VirtualMachine.EtherNetIp.Encapsulation;

/// <summary>Commands of the encapsulation (CIP volume 2, 2-3; from memory).</summary>
internal enum EncapsulationCommand : ushort
{
    Nop = 0x0000,
    ListServices = 0x0004,
    ListIdentity = 0x0063,
    ListInterfaces = 0x0064,
    RegisterSession = 0x0065,
    UnregisterSession = 0x0066,
    SendRRData = 0x006F,
    SendUnitData = 0x0070,
}

/// <summary>Status of a reply frame.</summary>
internal enum EncapsulationStatus : uint
{
    Success = 0x0000,
    InvalidCommand = 0x0001,
    IncorrectData = 0x0003,
    InvalidSession = 0x0064,
    InvalidLength = 0x0065,
    UnsupportedProtocol = 0x0069,
}

/// <summary>The 24 bytes before each frame's data.</summary>
internal readonly record struct EncapsulationHeader(
    EncapsulationCommand Command,
    ushort DataLength,
    uint Session,
    EncapsulationStatus Status,
    ulong Context,
    uint Options
)
{
    public const int Length = 24;

    /// <param name="bytes">At least <see cref="Length"/> bytes.</param>
    public static EncapsulationHeader Read(ReadOnlySpan<byte> bytes)
    {
        ByteReader reader = new(bytes[..Length]);
        return new(
            (EncapsulationCommand)reader.UInt16(),
            reader.UInt16(),
            reader.UInt32(),
            (EncapsulationStatus)reader.UInt32(),
            reader.UInt32() | ((ulong)reader.UInt32() << 32),
            reader.UInt32()
        );
    }

    public void Write(Span<byte> bytes)
    {
        ByteWriter writer = new(bytes, Length);
        writer.UInt16((ushort)Command);
        writer.UInt16(DataLength);
        writer.UInt32(Session);
        writer.UInt32((uint)Status);
        writer.UInt32((uint)Context);
        writer.UInt32((uint)(Context >> 32));
        writer.UInt32(Options);
    }
}
