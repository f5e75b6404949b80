namespace Dancerwatch.VirtualMachine.EtherNetIp.Cip;

/// <summary>General status of a reply and, where one says more, an additional status word.</summary>
/// <remarks>CIP volume 1, appendix B and connection manager error codes; tag reads: data access of Logix-class controllers. All from memory.</remarks>
internal readonly record struct CipStatus(byte General, ushort? Additional = null)
{
    public static readonly CipStatus Success = new(0x00);

    /// <summary>The path names something that is not there, or cannot be read as a path.</summary>
    public static readonly CipStatus PathSegmentError = new(0x04, 0x0000);

    /// <summary>The path is well-formed; its object, instance, member or element is not there.</summary>
    public static readonly CipStatus PathDestinationUnknown = new(0x05, 0x0000);

    /// <summary>Only a part of what was asked for fits this reply.</summary>
    public static readonly CipStatus PartialTransfer = new(0x06);

    public static readonly CipStatus ServiceNotSupported = new(0x08);
    public static readonly CipStatus ReplyTooLarge = new(0x11);
    public static readonly CipStatus NotEnoughData = new(0x13);
    public static readonly CipStatus AttributeNotSupported = new(0x14);
    public static readonly CipStatus TooMuchData = new(0x15);

    /// <summary>At least one of the services in a packet failed.</summary>
    public static readonly CipStatus EmbeddedServiceError = new(0x1E);

    /// <summary>The path is longer than the message.</summary>
    public static readonly CipStatus PathSizeInvalid = new(0x26);

    public static readonly CipStatus OffsetBeyondEnd = new(0xFF, 0x2104);
    public static readonly CipStatus ElementsBeyondEnd = new(0xFF, 0x2105);

    public static CipStatus ConnectionFailure(ushort reason) => new(0x01, reason);

    /// <summary>Whether data goes with it; with the others what was written so far is dropped.</summary>
    public bool CarriesData => General is 0x00 or 0x01 or 0x06 or 0x1E;
}
