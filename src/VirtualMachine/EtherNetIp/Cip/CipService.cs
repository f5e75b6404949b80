namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

/// <summary>Service codes known to the controller (CIP volume 1, appendix A; data access of Logix-class controllers; from memory).</summary>
internal static class CipService
{
    public const byte GetAttributesAll = 0x01;
    public const byte GetAttributeList = 0x03;
    public const byte MultipleServicePacket = 0x0A;
    public const byte GetAttributeSingle = 0x0E;
    public const byte ReadTag = 0x4C;
    public const byte ReadTagFragmented = 0x52;
    public const byte GetInstanceAttributeList = 0x55;

    // Of the connection manager; 0x52 means another thing there.
    public const byte ForwardClose = 0x4E;
    public const byte UnconnectedSend = 0x52;
    public const byte ForwardOpen = 0x54;
    public const byte LargeForwardOpen = 0x5B;

    public const byte ReplyBit = 0x80;

    /// <summary>
    /// Whether the service would change something: set attributes, write, write fragmented, read-modify-write (whose code is
    /// Forward Close at the connection manager).
    /// </summary>
    public static bool IsWrite(byte service, uint classId) =>
        service is 0x02 or 0x04 or 0x10 or 0x4D or 0x53
        || (service == 0x4E && classId != CipClass.ConnectionManager);
}

internal static class CipClass
{
    public const uint Identity = 0x01;
    public const uint MessageRouter = 0x02;
    public const uint ConnectionManager = 0x06;
    public const uint Symbol = 0x6B;
    public const uint Template = 0x6C;
}
