using Microsoft.Extensions.DependencyInjection;
using Orleans.Storage;

namespace Dancerwatch.Fleet.Records;

/// <summary>The storage that all hosts of a fleet share, and what stands in it.</summary>
internal sealed class FleetStorage(IServiceProvider services)
{
    /// <summary>Name of the storage in the silo's configuration.</summary>
    public const string Name = "fleet";

    private readonly IGrainStorage _storage = services.GetRequiredKeyedService<IGrainStorage>(Name);

    public Record<HostRecord> Host(string name) => new(_storage, "fleet-host", name);

    public Record<WatchRecord> Watch(string controller) => new(_storage, "fleet-watch", controller);

    public Record<MemoryRecord> Memory(string controller) => new(_storage, "fleet-machines", controller);
}
