namespace Dancerwatch.EdgeAgent.Controllers.EtherNetIp.Browsing;

/// <summary>Beyond any controller, and far from what would harm this computer. What goes past one of them is refused.</summary>
internal static class BrowseLimits
{
    /// <summary>Symbols of the controller and its programs together.</summary>
    public const int Symbols = 50_000;
    public const int Programs = 1_000;

    /// <summary>Kinds of structures.</summary>
    public const int Templates = 2_000;

    /// <summary>Bytes of one structure's definition.</summary>
    public const int DefinitionBytes = 64 * 1024;

    /// <summary>Structures within structures; controllers allow no more than 8 or so (from memory).</summary>
    public const int Depth = 10;

    /// <summary>Tags when structures are taken apart; the rest is counted and left out.</summary>
    public const int Tags = 100_000;

    /// <summary>Elements of an array of structures that are taken apart; machines of one controller are fewer.</summary>
    public const int Elements = 64;

    /// <summary>The whole of it.</summary>
    public static readonly TimeSpan Time = TimeSpan.FromSeconds(60);
}
