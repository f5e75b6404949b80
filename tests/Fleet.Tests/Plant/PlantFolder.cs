namespace Dancerwatch.Fleet.Tests.Plant;

/// <summary>Where a plant's configuration, its hosts' disks and what is told of it lie; gone after the test.</summary>
internal sealed class PlantFolder : IDisposable
{
    public string Path { get; } = Directory.CreateTempSubdirectory("dancerwatch-fleet-").FullName;

    public void Dispose() => Directory.Delete(Path, recursive: true);
}
