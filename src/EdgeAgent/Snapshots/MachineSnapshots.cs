using System.Buffers;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Snapshots;

/// <summary>
/// Keeps each machine's memory on disk: every ten minutes, soon after a condition changed, and at the end; one machine after
/// the other, on a thread of its own. A poll loop waits for nothing but its machine's memory being copied. A disk that takes
/// nothing is told once and costs nothing but the memory of what it does not take.
/// </summary>
/// <param name="outbox">
/// What was told after a snapshot stands there: it is kept until a snapshot knows of it, and no snapshot knows of what is not
/// yet on disk there. Null where nothing is told.
/// </param>
internal sealed class MachineSnapshots(
    SnapshotFolder folder,
    EventOutbox? outbox,
    MonotonicClock clock,
    ILogger logger
)
{
    /// <summary>A machine is saved this often: windows lose no more to a kill.</summary>
    public static readonly TimeSpan Interval = TimeSpan.FromMinutes(10);

    /// <summary>A condition that changed is saved at the next look, but no machine more often than this.</summary>
    public static readonly TimeSpan ShortestInterval = TimeSpan.FromMinutes(5);
    private static readonly TimeSpan s_look = TimeSpan.FromSeconds(0.25);

    private readonly Lock _gate = new();
    private readonly List<Place> _places = [];

    // More than a machine's memory at 20 ms and 12 bits, 0.45 MB once eight hours are full: growing to it doubles it, and leaves
    // as much garbage behind.
    private readonly ArrayBufferWriter<byte> _snapshot = new(initialCapacity: 600_000);
    private bool _isInTrouble;
    private long _saved;
    private long _failed;
    private long _setAside;
    private long _bytes;
    private long _written;

    /// <summary>Snapshots written.</summary>
    public long Saved => Interlocked.Read(ref _saved);

    /// <summary>Snapshots that could not be written.</summary>
    public long Failed => Interlocked.Read(ref _failed);

    /// <summary>Snapshots that could not be used at the start.</summary>
    public long SetAside => Interlocked.Read(ref _setAside);

    /// <summary>Bytes written so far, of all snapshots.</summary>
    public long Written => Interlocked.Read(ref _written);

    /// <summary>Space that they take on disk, bytes.</summary>
    public long Bytes => Interlocked.Read(ref _bytes);

    /// <summary>
    /// Begins with these machines, before their first reading: each goes on where its last run stopped, and what that run told
    /// after its last snapshot holds too, as the outbox has it.
    /// </summary>
    public void Begin(IReadOnlyList<(MachineWatch Watch, WatchedMachineSettings Settings)> machines)
    {
        lock (_gate)
        {
            foreach ((MachineWatch watch, WatchedMachineSettings settings) in machines)
                Add(watch, settings, known: 0);
            Recall();
            KeepWhatIsNeeded();
        }
    }

    /// <summary>
    /// Saves these machines from now on and no others. What a machine left that is no longer watched as it was is deleted:
    /// its conditions are cleared.
    /// </summary>
    public void Follow(IReadOnlyList<(MachineWatch Watch, WatchedMachineSettings Settings)> machines)
    {
        lock (_gate)
        {
            foreach (
                Place ended in _places.Where(place => machines.All(m => m.Watch != place.Watch)).ToList()
            )
            {
                _places.Remove(ended);
                Interlocked.Add(ref _bytes, -ended.Bytes);
                folder.Delete(ended.Name);
            }
            foreach ((MachineWatch watch, WatchedMachineSettings settings) in machines)
            {
                if (_places.All(place => place.Watch != watch))
                    Add(watch, settings, known: outbox?.LastSequence ?? 0);
            }
            KeepWhatIsNeeded();
        }
    }

    private void Recall()
    {
        if (outbox is null || _places.Count == 0)
            return;
        Dictionary<string, Place> places = _places.ToDictionary(place => place.Watch.Place.Path);
        Dictionary<Place, int> recalled = [];
        foreach (OutboxEntry entry in outbox.KeptAfter(_places.Min(place => place.Sequence)))
        {
            if (
                !places.TryGetValue(entry.Source, out Place? place)
                || entry.Sequence <= place.Sequence
                || !ToldChange.TryRead(entry.Payload, ToTicks, out ToldChange? told)
            )
                continue;
            place.Watch.Recall(told.OnsetMilliseconds, told.Transition, clock.Ticks);
            recalled[place] = recalled.GetValueOrDefault(place) + 1;
        }
        foreach ((Place place, int count) in recalled)
            logger.Recalled(place.Watch.Place.Machine, count);
    }

    private long ToTicks(long milliseconds)
    {
        long now = clock.Ticks;
        TimeSpan ago =
            clock.ToWallClock(now)
            - DateTimeOffset.UnixEpoch
            - TimeSpan.FromTicks(unchecked(milliseconds * TimeSpan.TicksPerMillisecond));
        return now - Math.Max(0, ago.Ticks);
    }

    private void Add(MachineWatch watch, WatchedMachineSettings machine, long known)
    {
        Place place = new(
            watch,
            SnapshotFolder.NameOf(watch.Place),
            MachineFingerprint.Of(watch.Place.Path, machine)
        )
        {
            SavedAt = clock.Ticks,
            Changes = watch.Changes,
            Sequence = known,
        };
        _places.Add(place);
        try
        {
            if (folder.Read(place.Name) is not { } snapshot)
                return;
            (ReadOnlyMemory<byte> memory, long milliseconds, long sequence) = SnapshotFrame.Read(
                snapshot,
                place.Fingerprint
            );
            TimeSpan away =
                clock.ToWallClock(clock.Ticks) - DateTimeOffset.FromUnixTimeMilliseconds(milliseconds);
            // The clock may have been set back meanwhile.
            away = away < TimeSpan.Zero ? TimeSpan.Zero : away;
            watch.Restore(memory, clock.Ticks, away);
            // An outbox that was emptied counts anew: all it holds came later.
            place.Sequence = sequence <= (outbox?.LastSequence ?? 0) ? sequence : 0;
            logger.Restored(watch.Place.Machine, (long)away.TotalSeconds);
        }
        catch (Exception e)
            when (e
                    is InvalidDataException
                        or IOException
                        or UnauthorizedAccessException
                        or ArgumentOutOfRangeException
            )
        {
            Interlocked.Increment(ref _setAside);
            string aside = PutAside(place.Name);
            string why = e.Message.TrimEnd('.');
            logger.SetAside(watch.Place.Machine, why, aside);
        }
    }

    /// <summary>Saves until <paramref name="cancellation"/>; then returns.</summary>
    public Task RunAsync(CancellationToken cancellation) =>
        Task.Factory.StartNew(
            () =>
            {
                while (!cancellation.WaitHandle.WaitOne(s_look))
                    SaveDue();
            },
            default,
            TaskCreationOptions.LongRunning,
            TaskScheduler.Default
        );

    /// <summary>Saves the machines whose conditions changed, and of those whose time has come the first: the others at the next looks.</summary>
    public void SaveDue()
    {
        lock (_gate)
            SaveThoseDue();
    }

    private void SaveThoseDue()
    {
        long now = clock.Ticks;
        bool wasOneDue = false;
        foreach (Place place in _places)
        {
            TimeSpan since = TimeSpan.FromTicks(now - place.SavedAt);
            bool isDue = !wasOneDue && since >= Interval;
            wasOneDue |= isDue;
            bool mayFollowChange = place.Ticks is null || since >= ShortestInterval;
            if (isDue || (mayFollowChange && place.Watch.Changes != place.Changes))
                Save(place);
        }
    }

    /// <summary>Saves all machines.</summary>
    public void SaveAll()
    {
        lock (_gate)
        {
            foreach (Place place in _places)
                Save(place);
        }
    }

    private void Save(Place place)
    {
        SnapshotFrame.Begin(_snapshot);
        long changes = place.Watch.Changes;
        long sequence = outbox?.LastSequence ?? 0;
        long? ticks = place.Watch.Save(_snapshot, place.Ticks);
        // Else a kill could lose an event of which the snapshot says that it was told: at a later look.
        if (outbox?.LastSequence > outbox?.LastKept)
            return;
        place.SavedAt = clock.Ticks;
        place.Changes = changes;
        // Nothing read yet, or since: what is on disk is as good.
        if (ticks is null)
            return;
        try
        {
            long milliseconds = clock.ToWallClock(ticks.Value).ToUnixTimeMilliseconds();
            SnapshotFrame.End(_snapshot, place.Fingerprint, milliseconds, sequence);
            folder.Write(place.Name, _snapshot.WrittenSpan);
            place.Ticks = ticks;
            place.Sequence = sequence;
            KeepWhatIsNeeded();
            Interlocked.Increment(ref _saved);
            Interlocked.Add(ref _written, _snapshot.WrittenCount);
            Interlocked.Add(ref _bytes, _snapshot.WrittenCount - place.Bytes);
            place.Bytes = _snapshot.WrittenCount;
            if (_isInTrouble)
                logger.SnapshotsWrittenAgain();
            _isInTrouble = false;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            Interlocked.Increment(ref _failed);
            string trouble = e.Message.TrimEnd('.');
            if (!_isInTrouble)
                logger.SnapshotsNotWritten(trouble, folder.Path);
            _isInTrouble = true;
        }
    }

    private void KeepWhatIsNeeded() =>
        outbox?.KeepAfter(_places.Count == 0 ? long.MaxValue : _places.Min(place => place.Sequence));

    private string PutAside(string name)
    {
        try
        {
            return folder.SetAside(name);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return name;
        }
    }

    private sealed class Place(MachineWatch watch, string name, byte[] fingerprint)
    {
        public MachineWatch Watch { get; } = watch;
        public string Name { get; } = name;
        public byte[] Fingerprint { get; } = fingerprint;
        public long SavedAt { get; set; }
        public long Changes { get; set; }
        public long? Ticks { get; set; }
        public long Bytes { get; set; }

        /// <summary>The snapshot on disk knows of the events up to this number.</summary>
        public long Sequence { get; set; }
    }
}
