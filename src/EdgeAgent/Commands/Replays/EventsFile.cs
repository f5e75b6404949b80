using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>Writes each event as one line of JSON, the very payload that would have been published (JSON Lines).</summary>
internal sealed class EventsFile(Stream into) : IEventSink
{
    /// <summary>Events written.</summary>
    public long Count { get; private set; }

    /// <exception cref="IOException">The file cannot be written.</exception>
    public void Raise(MachineEvent raised)
    {
        into.Write(EventPayload.Of(raised, ++Count));
        into.WriteByte((byte)'\n');
    }
}
