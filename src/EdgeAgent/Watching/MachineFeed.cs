using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Polling;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Watching;

/// <summary>Leads the polls of a controller to the watch of one of its machines, and to a recording where one is made.</summary>
/// <param name="recorderPlace">The machine's place in the recorder's list.</param>
public sealed class MachineFeed(
    ReadingSource source,
    MachineWatch watch,
    TraceRecorder? recorder = null,
    int recorderPlace = 0
) : ISnapshotSink
{
    public void Receive(TagSnapshot snapshot)
    {
        Reading reading = source.Read(snapshot);
        // Recorded first: a reading that the watch fails on is the one that is wanted most.
        recorder?.Record(recorderPlace, reading);
        watch.Process(reading);
    }
}
