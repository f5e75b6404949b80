using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>
/// One machine's readings of the past, in the order in which they were taken. They come in batches, decoded ahead on another
/// thread. One caller at a time.
/// </summary>
internal interface IHistory : IDisposable
{
    /// <summary>Place of the machine in the list of machines.</summary>
    int Machine { get; }

    /// <summary>Goes on to the next batch, once all of the one before has been read.</summary>
    /// <returns>False at the end.</returns>
    /// <exception cref="IOException">What holds the readings cannot be read on.</exception>
    ValueTask<bool> NextBatchAsync(CancellationToken cancellation);

    /// <summary>Reads on to the next reading of the batch.</summary>
    /// <returns>False at its end.</returns>
    bool TryRead(out Reading reading);

    /// <summary>UTC time of the latest reading's ticks, or ticks near it.</summary>
    DateTimeOffset ToWallClock(long ticks);

    /// <summary>Where an event of the latest reading belongs among those of the other machines: the least comes first.</summary>
    long OrderOf(MachineEvent raised);

    /// <summary>Readings read.</summary>
    long Rows { get; }

    /// <summary>How much has been read, 0 to 1. May be asked from another thread.</summary>
    double Progress { get; }

    /// <summary>What was left out up to here, and why.</summary>
    IEnumerable<string> Findings { get; }
}

/// <summary>Takes each reading of a history.</summary>
internal delegate void ReadingTaker(in Reading reading);
