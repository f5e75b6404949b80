using Dancerwatch.EdgeAgent.Controllers;

namespace Dancerwatch.EdgeAgent.Polling;

/// <summary>Takes each poll of one controller: a watch, a recorder.</summary>
public interface ISnapshotSink
{
    /// <summary>
    /// Called once a poll, on the poll loop, failed polls included, so that staleness is seen. Must be quick and must
    /// not keep <paramref name="snapshot"/>: it is filled anew by the next poll.
    /// </summary>
    void Receive(TagSnapshot snapshot);
}
