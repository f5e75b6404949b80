using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Polling;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Watching;

/// <summary>Leads the polls of a controller to the watch of one of its machines, and to the recordings that are made.</summary>
public sealed class MachineFeed(
    ReadingSource source,
    MachineWatch watch,
    params IReadOnlyList<IReadingSink> recordings
) : ISnapshotSink
{
    private readonly IReadingSink[] _recordings = [.. recordings];

    public void Receive(TagSnapshot snapshot)
    {
        Reading reading = source.Read(snapshot);
        // Recorded first: a reading that the watch fails on is the one that is wanted most.
        foreach (IReadingSink recording in _recordings)
            recording.Take(reading);
        watch.Process(reading);
    }
}
