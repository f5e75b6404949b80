using Dancerwatch.EdgeAgent.Outbox.Disk;
using Dancerwatch.EdgeAgent.Outbox.Segments;

namespace Dancerwatch.EndToEnd.Tests.Outbox;

/// <summary>What a daemon keeps on disk, looked at while it does not run.</summary>
internal sealed class StateDirectory : IDisposable
{
    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-state-");

    public StateDirectory() => Place = Path.Combine(_directory.FullName, "state");

    /// <summary>Where the state goes: a directory of nothing else.</summary>
    public string Place { get; }

    public string PathOf(string file) => Path.Combine(_directory.FullName, file);

    /// <summary>The events that are on disk and not acknowledged: id by number.</summary>
    public Dictionary<long, string> Kept()
    {
        Dictionary<long, string> kept = [];
        // A daemon killed at once has not come to make it.
        if (!Directory.Exists(Path.Combine(Place, "outbox")))
            return kept;
        long done = Done();
        foreach (string path in Directory.EnumerateFiles(Path.Combine(Place, "outbox"), "*.events"))
        {
            RecordScan scan = new(File.ReadAllBytes(path));
            while (scan.Next(out long sequence, out ReadOnlySpan<byte> content))
            {
                if (sequence > done)
                    kept[sequence] = StoredEvent.Decode(sequence, content, ofThisRun: false)!.Id;
            }
        }
        return kept;
    }

    /// <summary>The last number that is dealt with.</summary>
    public long Done()
    {
        using CursorFile cursor = CursorFile.Open(new StateFolder(Path.Combine(Place, "outbox")));
        return cursor.Found is { } found ? found.Done : 0;
    }

    public void Dispose() => _directory.Delete(recursive: true);
}
