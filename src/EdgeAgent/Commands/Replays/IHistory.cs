using Dancerwatch.EdgeAgent.Controllers.Recorded;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>Readings of the past, of one or several machines, one after the other. One thread.</summary>
internal interface IHistory : IDisposable
{
    /// <summary>Reads on to the next reading.</summary>
    /// <returns>False at the end.</returns>
    bool TryRead(out TraceRow row);

    /// <summary>UTC time of the latest reading's ticks, or ticks near it.</summary>
    DateTimeOffset ToWallClock(long ticks);

    /// <summary>Readings read.</summary>
    long Rows { get; }

    /// <summary>How much has been read, 0 to 1. May be asked from another thread.</summary>
    double Progress { get; }

    /// <summary>What was left out up to here, and why.</summary>
    IEnumerable<string> Findings { get; }
}
