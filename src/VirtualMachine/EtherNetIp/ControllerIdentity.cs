namespace Dancerwatch.VirtualMachine.EtherNetIp;

/// <summary>What the controller says it is. The vendor is nobody: 0 is assigned to no maker (from memory).</summary>
public sealed record ControllerIdentity
{
    public ushort Vendor { get; init; }

    /// <summary>0x0E: programmable logic controller.</summary>
    public ushort DeviceType { get; init; } = 0x0E;
    public ushort ProductCode { get; init; } = 1;
    public byte MajorRevision { get; init; } = 1;
    public byte MinorRevision { get; init; }

    /// <summary>Status word: owned, and bits 4 to 7 at 6: running.</summary>
    public ushort Status { get; init; } = 0x3060;
    public uint SerialNumber { get; init; } = 0x0DA2CE12;

    /// <summary>Up to 32 ASCII characters.</summary>
    public string ProductName { get; init; } = "Virtual packaging controller";
}
