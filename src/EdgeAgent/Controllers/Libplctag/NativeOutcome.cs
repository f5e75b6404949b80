using Dancerwatch.EdgeAgent.Controllers.EtherNetIp;

namespace Dancerwatch.EdgeAgent.Controllers.Libplctag;

/// <summary>How the read of one tag ended, with what it takes to say so in words.</summary>
/// <param name="Error">The library's code; 0 where there was no error.</param>
/// <param name="Bytes">Size of the value.</param>
internal readonly record struct NativeOutcome(TagStatus Status, int Error = 0, int Bytes = 0)
{
    // The library's codes (its public header): of tags, and of the way to the controller.
    private const int BadParameter = -7;
    private const int NotAllowed = -18;
    private const int NotFound = -19;
    private const int OutOfBounds = -27;
    private const int Unsupported = -35;

    // Bad connection, bad gateway, close, open, read, timeout.
    private static readonly int[] s_linkLost = [-3, -6, -10, -26, -28, Timeout];
    private const int Timeout = -32;

    public static NativeOutcome Good => new(TagStatus.Good);

    /// <summary>Whether an error is of the way to the controller, not of one tag.</summary>
    public static bool IsLinkLost(int error) => s_linkLost.AsSpan().Contains(error);

    /// <summary>Whether an error is of one tag's name, access or type, which the controller answered for.</summary>
    public static bool IsOfTag(int error) =>
        error is NotFound or BadParameter or OutOfBounds or NotAllowed or Unsupported;

    public static TagStatus StatusOfLink(int error) =>
        error == Timeout ? TagStatus.TimedOut : TagStatus.NotRead;

    public static NativeOutcome Refused(int error) =>
        new(
            error switch
            {
                NotFound or BadParameter or OutOfBounds => TagStatus.NoSuchTag,
                NotAllowed => TagStatus.Forbidden,
                _ => TagStatus.ControllerError,
            },
            error
        );

    /// <summary>One sentence that names the tag, what is wrong and what to try; null where nothing is.</summary>
    public string? Describe(NativeTag tag)
    {
        string name = tag.Tag.Name;
        string error = $"{PlcTag.NameOf(Error)} of libplctag";
        return Status switch
        {
            TagStatus.NoSuchTag =>
                $"tag '{name}' was not found: {error}. Check its spelling, its scope ('Program:Name.{name}'?) and that the controller lets it be read from outside",
            TagStatus.WrongType when tag.Address is { Bit: not null, InBoolArray: false } =>
                $"tag '{name}' asks for bit {tag.Address.Bit} of a value of {Bytes} bytes in the controller",
            TagStatus.WrongType =>
                $"tag '{name}' has {Bytes} bytes in the controller; the configuration says {CipType.Name(tag.Tag.Type)}, which has {tag.Bytes}",
            TagStatus.Forbidden =>
                $"tag '{name}' may not be read: {error}. Allow read-only access from outside in the controller",
            TagStatus.ControllerError => $"tag '{name}' could not be read: {error}",
            TagStatus.Garbled => $"tag '{name}' came back with a value that cannot be decoded",
            _ => null,
        };
    }
}
