using Orleans.Storage;

namespace Dancerwatch.Fleet.Records;

/// <summary>The storage that all hosts of a fleet share, and what stands in it.</summary>
internal sealed class FleetStorage(IGrainStorage leases, IGrainStorage storage)
{
    /// <summary>Name of the storage in the silo's configuration.</summary>
    public const string Name = "fleet";

    /// <summary>The same tables by connections of their own, so that a lease never waits behind what machines remember.</summary>
    public const string Leases = "leases";

    public Record<HostRecord> Host(string name) => new(leases, "fleet-host", name);

    public Record<WatchRecord> Watch(string controller) => new(storage, "fleet-watch", controller);

    public Record<MemoryRecord> Memory(string controller) => new(storage, "fleet-machines", controller);
}
