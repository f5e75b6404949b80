using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.EdgeAgent.Outbox;

/// <summary>
/// Where events wait. Gives each a number as it comes, and gives them back in that order. A number that is missing there
/// is an event that is lost.
/// </summary>
internal interface IEventStore : IAsyncDisposable
{
    /// <summary>Takes an event. Any thread; never waits for a disk.</summary>
    void Add(MachineEvent raised);

    /// <summary>The next in order that may be sent; null where there is none yet. For one caller.</summary>
    OutboxEntry? Next();

    /// <summary>Events up to this number have been given by <see cref="Next"/> once it answers null, or never will be.</summary>
    long LastReadable { get; }

    /// <summary>The last number given to an event.</summary>
    long LastSequence { get; }

    /// <summary>How far an earlier run came.</summary>
    Cursor Restored { get; }

    /// <summary>Set when <see cref="Next"/> may have more to give.</summary>
    WakeUp Readable { get; }

    /// <summary>Remembers how far this run has come.</summary>
    void Save(Cursor cursor);

    /// <summary>Puts an event that no broker takes aside, for a person to look at.</summary>
    void KeepRejected(OutboxEntry rejected, string answer);

    /// <summary>Events after this number are still needed when the broker has them, and kept while there is space.</summary>
    void KeepAfter(long sequence);

    /// <summary>Events on disk after this number, in order, sent or not. Before <see cref="RunAsync"/>.</summary>
    IEnumerable<OutboxEntry> KeptAfter(long sequence);

    /// <summary>Events that are in memory only.</summary>
    int Unwritten { get; }

    /// <summary>Space taken on disk, bytes.</summary>
    long Bytes { get; }

    /// <summary>Times that bytes on disk were not as they had been written.</summary>
    long Damages { get; }

    /// <summary>Does the store's own work until <paramref name="cancellation"/>; then returns.</summary>
    Task RunAsync(CancellationToken cancellation);
}
