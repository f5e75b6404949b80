using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>One machine that is recorded: where its poll loop leaves readings, and the journal they go to.</summary>
internal sealed class MachineTrack(
    string machine,
    IReadOnlyList<Signal> signals,
    int queueLength,
    MonotonicClock clock
) : IReadingSink
{
    public string Machine => machine;

    public IReadOnlyList<Signal> Signals => signals;

    public ReadingQueue Queue { get; } = new(signals, queueLength);

    // What follows belongs to the recorder's thread.

    /// <summary>The journal that is written; null before the first reading, and after each that is full.</summary>
    public OpenJournal? Journal { get; set; }

    /// <summary>Monotonic time of the last reading in a journal.</summary>
    public long LastTicks { get; set; } = -1;

    /// <summary>Readings lost after they had left the queue.</summary>
    public long Lost { get; set; }

    /// <summary>Lost readings that the log has told of.</summary>
    public long LostTold { get; set; }

    public void Take(in Reading reading) =>
        Queue.Add(reading, UnixTime.Microseconds(clock.ToWallClock(reading.Ticks)));
}

/// <summary>A journal that is written.</summary>
internal sealed record OpenJournal(RecordedFile File, Journal.JournalWriter Writer) : IDisposable
{
    public long Rows { get; set; }

    public void Dispose() => Writer.Dispose();
}
