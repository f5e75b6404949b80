using static Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip.Bytes;

namespace Dancerwatch.VirtualMachine.Tests.EtherNetIp.Cip;

/// <summary>A Forward Open request, field by field (CIP volume 1, 3-5.4, from memory); what a test is about, it changes.</summary>
internal sealed record ForwardOpen
{
    public int Size { get; init; } = 500;
    public bool Large { get; init; }
    public int Serial { get; init; } = 0x0777;
    public uint OriginatorConnection { get; init; } = 0xA5A50001;
    public byte Multiplier { get; init; }
    public uint IntervalMicroseconds { get; init; } = 1_000_000;
    public byte Transport { get; init; } = 0xA3;
    public uint Type { get; init; } = 2;
    public string Path { get; init; } = "0100 2002 2401";

    public byte[] Request =>
        Bytes.Request(
            (byte)(Large ? 0x5B : 0x54),
            Hex(ConnectionManager),
            [
                0x0A,
                0xF0,
                .. UInt32(0),
                .. UInt32(OriginatorConnection),
                .. Identification,
                Multiplier,
                0,
                0,
                0,
                .. UInt32(IntervalMicroseconds),
                .. Parameters,
                .. UInt32(IntervalMicroseconds),
                .. Parameters,
                Transport,
                (byte)(Hex(Path).Length / 2),
                .. Hex(Path),
            ]
        );

    public byte[] CloseRequest =>
        Bytes.Request(
            0x4E,
            Hex(ConnectionManager),
            [0x0A, 0xF0, .. Identification, (byte)(Hex(Path).Length / 2), 0, .. Hex(Path)]
        );

    /// <summary>Connection serial, originator's vendor and serial: request and reply carry them alike.</summary>
    public byte[] Identification => [.. UInt16(Serial), .. Hex("3412 78563412")];

    // Variable size (bit 9; 25 in the large one), type at bits 13 and 14 (29 and 30).
    private byte[] Parameters =>
        Large
            ? UInt32((Type << 29) | (1u << 25) | (uint)Size)
            : UInt16((int)((Type << 13) | (1u << 9) | (uint)Size));
}
