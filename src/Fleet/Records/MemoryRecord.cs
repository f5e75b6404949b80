namespace Dancerwatch.Fleet.Records;

/// <summary>What a controller's machines remember: of each a snapshot as the daemon keeps it on disk.</summary>
[GenerateSerializer, Alias("dancerwatch.machines")]
internal sealed class MemoryRecord
{
    /// <summary>By place, <c>/site/area/line/machine</c>.</summary>
    [Id(0)]
    public Dictionary<string, byte[]> Snapshots { get; set; } = [];

    /// <summary>
    /// Snapshots that the build which found them could not use, of another version for instance: kept until the next such one,
    /// so that going back to the build that wrote them finds them.
    /// </summary>
    [Id(1)]
    public Dictionary<string, byte[]> Aside { get; set; } = [];
}
