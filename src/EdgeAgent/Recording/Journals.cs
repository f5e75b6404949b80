using System.Collections.Concurrent;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Recording.Journal;
using Dancerwatch.Signals.Readings;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>
/// Each machine's readings from its queue into a journal of its own: closed where it is full, at the end of a day, and where the
/// disk would not take it. Readings come from any thread; the rest is the recorder's.
/// </summary>
/// <param name="closed">Told each journal that is whole.</param>
internal sealed class Journals(
    FileShelf ring,
    ReadingBatch batch,
    MonotonicClock clock,
    Action<RecordedFile> closed,
    ILogger logger
)
{
    /// <summary>A smaller one is not worth a file, bytes.</summary>
    private const long SmallestJournal = 64 << 10;

    /// <summary>A journal is made into a file after so long.</summary>
    private static readonly TimeSpan s_longestJournal = TimeSpan.FromMinutes(15);

    /// <summary>So much time of readings waits in memory for a disk that is slow.</summary>
    private static readonly TimeSpan s_queue = TimeSpan.FromSeconds(10);

    /// <summary>A poll loop that was handed another track has left the one before by then, with all that it had for it.</summary>
    private static readonly TimeSpan s_leave = TimeSpan.FromMinutes(1);

    private readonly ConcurrentDictionary<string, MachineTrack> _tracks = [];

    /// <summary>Those of machines whose signals are others now, and since when, monotonic ticks.</summary>
    private readonly List<(MachineTrack Track, long Since)> _retired = [];
    private long _recorded;
    private long _lost;

    /// <summary>Readings written.</summary>
    public long Recorded => Interlocked.Read(ref _recorded);

    /// <summary>Readings that are not: the disk was too slow or took nothing.</summary>
    public long Dropped => Interlocked.Read(ref _lost) + Tracks().Sum(track => track.Queue.Dropped);

    /// <inheritdoc cref="Recorder.For"/>
    public IReadingSink For(WatchedMachineSettings machine, TimeSpan period)
    {
        ArgumentNullException.ThrowIfNull(machine);
        Signal[] signals = [.. machine.Signals.Select(source => source.Signal).Order()];
        return _tracks.AddOrUpdate(
            machine.Name,
            _ => Track(),
            (_, there) =>
            {
                if (there.Signals.SequenceEqual(signals))
                    return there;
                lock (_retired)
                    _retired.Add((there, clock.Ticks));
                return Track();
            }
        );

        MachineTrack Track() => new(machine.Name, signals, (int)(s_queue / period) + 1, clock);
    }

    /// <summary>Empties the queues.</summary>
    /// <param name="run">Number of this run of the program.</param>
    /// <exception cref="IOException">The disk takes nothing; what was taken from a queue is lost, and counted.</exception>
    public void Write(long run, bool isLast)
    {
        foreach (MachineTrack track in Tracks())
            Write(track, run, isLast);
        lock (_retired)
        {
            // Of those that came one after the other, the oldest is done first.
            while (_retired is [(MachineTrack track, long since), ..] && clock.Ticks - since > s_leave.Ticks)
            {
                if (!IsDone(track))
                    break;
                _retired.RemoveAt(0);
            }
        }
    }

    /// <summary>Marks a machine's journal, where one is open.</summary>
    public void Append(string machine, BlackBoxMark mark)
    {
        if (!_tracks.TryGetValue(machine, out MachineTrack? track) || track.Journal is not { } journal)
            return;
        journal.Writer.Append(mark);
        ring.Set(journal.File, journal.Writer.Length);
    }

    /// <summary>Monotonic time of a machine's last reading in a journal; -1 for none.</summary>
    public long LastTicks(string machine) =>
        _tracks.TryGetValue(machine, out MachineTrack? track) ? track.LastTicks : -1;

    /// <summary>Logs what was lost since it was told last.</summary>
    public void TellLosses()
    {
        foreach (MachineTrack track in Tracks())
        {
            long lost = track.Lost + track.Queue.Dropped;
            if (lost > track.LostTold)
                logger.ReadingsNotRecorded(lost - track.LostTold, track.Machine);
            track.LostTold = lost;
        }
    }

    private List<MachineTrack> Tracks()
    {
        lock (_retired)
            return [.. _retired.Select(retired => retired.Track), .. _tracks.Values];
    }

    private void Write(MachineTrack track, long run, bool isLast)
    {
        while (track.Queue.OldestMicroseconds is { } oldest)
        {
            (DateOnly day, long from, long to) = UnixTime.DayOf(oldest);
            if (track.Journal?.File.Day != day)
                CloseJournal(track);
            batch.Begin(run, track.Signals);
            track.Queue.Take(batch, from, to);
            Append(track, run, day);
        }
        if (isLast || track.Journal is { } journal && IsFull(journal))
            CloseJournal(track);
    }

    /// <summary>Closes the journal of a track that nobody leaves readings with any more.</summary>
    /// <returns>Whether all of it is written, and told where it was lost.</returns>
    private bool IsDone(MachineTrack track)
    {
        CloseJournal(track);
        if (track.LostTold < track.Lost + track.Queue.Dropped)
            return false;
        Interlocked.Add(ref _lost, track.Queue.Dropped);
        return true;
    }

    private bool IsFull(OpenJournal journal) =>
        clock.Ticks - journal.File.Ticks > s_longestJournal.Ticks
        // All journals together take an eighth of the ring: the rest is there to turn over.
        || journal.Writer.Length
            > Math.Max(SmallestJournal, ring.MaximumBytes / (8 * Math.Max(1, _tracks.Count)));

    private void Append(MachineTrack track, long run, DateOnly day)
    {
        int rows = batch.Count;
        try
        {
            if (!ring.MakeRoom(MostBytes(batch)))
                throw new IOException("within its bounds there is no room left");
            OpenJournal journal = track.Journal ??= Begin(track, run, day);
            journal.Writer.Append(batch);
            ring.Set(journal.File, journal.Writer.Length);
        }
        catch
        {
            // Half a block may stand at its end: what comes after goes to another.
            CloseJournal(track);
            track.Lost += rows;
            Interlocked.Add(ref _lost, rows);
            throw;
        }
        track.LastTicks = batch.Ticks[^1];
        Interlocked.Add(ref _recorded, rows);
    }

    private OpenJournal Begin(MachineTrack track, long run, DateOnly day)
    {
        RecordedFile file = new(
            ring.Folder,
            track.Machine,
            day,
            run,
            batch.Ticks[0],
            RecordedFileKind.Journal
        );
        Directory.CreateDirectory(Path.GetDirectoryName(file.Path)!);
        ring.KeepDays();
        return new OpenJournal(file, new JournalWriter(file.Path, run, track.Signals));
    }

    private void CloseJournal(MachineTrack track)
    {
        if (track.Journal is not { } journal)
            return;
        journal.Dispose();
        track.Journal = null;
        closed(journal.File);
    }

    /// <summary>More than a batch takes in a journal.</summary>
    private static long MostBytes(ReadingBatch batch) =>
        JournalBlocks.HeaderLength + 1024 + (batch.Count * (24L + (sizeof(double) * batch.Signals.Count)));
}
