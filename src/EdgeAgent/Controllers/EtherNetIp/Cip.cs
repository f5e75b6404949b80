namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

/// <summary>
/// The services this driver asks for: reads, and what it takes to carry them. The program knows no others, so it has no
/// means to change anything in a controller. Codes: CIP Networks Library volume 1, and the public data-access manual of
/// the Logix class of controllers (from memory; confirmed by an independent dissector).
/// </summary>
internal static class CipService
{
    /// <summary>Of the template object, for what a structure is made of.</summary>
    public const byte GetAttributeList = 0x03;
    public const byte MultipleServicePacket = 0x0A;
    public const byte ReadTag = 0x4C;

    /// <summary>To the template object: the definition of a structure.</summary>
    public const byte ReadTemplate = 0x4C;

    /// <summary>To the symbol object: the list of tags.</summary>
    public const byte GetInstanceAttributeList = 0x55;

    /// <summary>To a tag.</summary>
    public const byte ReadTagFragmented = 0x52;

    /// <summary>To the connection manager.</summary>
    public const byte UnconnectedSend = 0x52;
    public const byte ForwardClose = 0x4E;
    public const byte ForwardOpen = 0x54;
    public const byte LargeForwardOpen = 0x5B;

    /// <summary>Set in the service code of every reply.</summary>
    public const byte ReplyBit = 0x80;
}

/// <summary>Paths of the objects that carry reads, and of those that tell what there is.</summary>
internal static class CipPath
{
    private const int SymbolicSegment = 0x91;
    private const int ClassSegment = 0x20;
    private const int InstanceSegment16 = 0x25;
    private const int InstanceSegment32 = 0x26;
    private const int SymbolClass = 0x6B;
    private const int TemplateClass = 0x6C;

    public static ReadOnlySpan<byte> MessageRouter => [0x20, 0x02, 0x24, 0x01];
    public static ReadOnlySpan<byte> ConnectionManager => [0x20, 0x06, 0x24, 0x01];

    /// <summary>The list of tags from an instance on.</summary>
    /// <param name="program">A program's, with its prefix <c>Program:</c>; null for the controller's.</param>
    public static byte[] Symbols(string? program, uint from)
    {
        ByteBuilder path = new();
        if (program is not null)
            path.Byte(SymbolicSegment).Byte(program.Length).Ascii(program).PadToEven();
        path.Byte(ClassSegment).Byte(SymbolClass);
        return from <= ushort.MaxValue
            ? path.Byte(InstanceSegment16).Byte(0).UInt16((int)from).ToArray()
            : path.Byte(InstanceSegment32).Byte(0).UInt32(from).ToArray();
    }

    public static byte[] Template(ushort instance) =>
        new ByteBuilder()
            .Byte(ClassSegment)
            .Byte(TemplateClass)
            .Byte(InstanceSegment16)
            .Byte(0)
            .UInt16(instance)
            .ToArray();
}

/// <summary>General status codes of CIP replies (CIP volume 1, appendix B).</summary>
internal static class CipStatus
{
    public const byte Success = 0x00;
    public const byte PathSegmentError = 0x04;
    public const byte PathDestinationUnknown = 0x05;
    public const byte PartialTransfer = 0x06;
    public const byte ServiceNotSupported = 0x08;
    public const byte PrivilegeViolation = 0x0F;
    public const byte ReplyTooLarge = 0x11;

    /// <summary>At least one service of a packet failed; the replies are there.</summary>
    public const byte EmbeddedServiceError = 0x1E;

    /// <summary>Vendor-specific; the extended status says what.</summary>
    public const byte GeneralError = 0xFF;

    /// <summary>Extended status of <see cref="GeneralError"/>: an index beyond the end of an array.</summary>
    public const ushort BeyondEndOfObject = 0x2105;

    /// <summary>What a status means, in words, with its numbers.</summary>
    public static string Describe(byte status, ushort extended)
    {
        string meaning = status switch
        {
            0x01 => extended switch
            {
                0x0100 => "the connection is in use already",
                0x0103 => "this kind of connection is not supported",
                0x0107 => "the connection was not found",
                0x0109 => "the connection size is not allowed",
                0x0113 => "no connections are left in the controller",
                0x0204 => "the route's target did not answer",
                0x0311 => "the route names a port that is not there",
                0x0312 => "the route names a slot or address that is not there",
                0x0315 => "the route is not understood",
                _ => "the connection could not be made",
            },
            0x02 => "the controller is short of resources",
            PathSegmentError => "the name is not understood or not there",
            PathDestinationUnknown => "the name is not there",
            PartialTransfer => "the reply does not fit one packet",
            ServiceNotSupported => "the service is not supported",
            PrivilegeViolation => "the controller does not permit it",
            0x10 => "the controller's state does not permit it",
            ReplyTooLarge => "the reply is too large",
            0x13 => "the request was too short",
            0x15 => "the request was too long",
            0x26 => "the path size is wrong",
            GeneralError when extended == BeyondEndOfObject => "the index is beyond the end of the array",
            _ => "no plainer words known",
        };
        return extended == 0
            ? $"{meaning} (status 0x{status:X2})"
            : $"{meaning} (status 0x{status:X2}, extended 0x{extended:X4})";
    }
}
