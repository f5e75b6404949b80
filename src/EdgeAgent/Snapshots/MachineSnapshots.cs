using System.Buffers;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Watching;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Snapshots;

/// <summary>
/// Keeps each machine's memory on disk: every minute, soon after a condition changed, and at the end; one machine after the
/// other, on a thread of its own. A poll loop waits for nothing but its machine's memory being copied. A disk that takes
/// nothing is told once and costs nothing but the memory of what it does not take.
/// </summary>
internal sealed class MachineSnapshots(SnapshotFolder folder, MonotonicClock clock, ILogger logger)
{
    /// <summary>A machine is saved this often.</summary>
    public static readonly TimeSpan Interval = TimeSpan.FromMinutes(1);

    /// <summary>A condition that changed is saved at the next look, but no machine more often than this.</summary>
    public static readonly TimeSpan ShortestInterval = TimeSpan.FromSeconds(5);
    private static readonly TimeSpan s_look = TimeSpan.FromSeconds(0.25);

    private readonly Lock _gate = new();
    private readonly List<Place> _places = [];
    private readonly ArrayBufferWriter<byte> _memory = new();
    private readonly ArrayBufferWriter<byte> _snapshot = new();
    private bool _isInTrouble;
    private long _saved;
    private long _failed;
    private long _setAside;
    private long _bytes;

    /// <summary>Snapshots written.</summary>
    public long Saved => Interlocked.Read(ref _saved);

    /// <summary>Snapshots that could not be written.</summary>
    public long Failed => Interlocked.Read(ref _failed);

    /// <summary>Snapshots that could not be used at the start.</summary>
    public long SetAside => Interlocked.Read(ref _setAside);

    /// <summary>Space that they take on disk, bytes.</summary>
    public long Bytes => Interlocked.Read(ref _bytes);

    /// <summary>
    /// Saves these machines from now on and no others. One that is new goes on where its last run stopped: before its first
    /// reading. What a machine left that is no longer watched as it was is deleted: its conditions have been cleared.
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
                    Add(watch, settings);
            }
        }
    }

    private void Add(MachineWatch watch, WatchedMachineSettings machine)
    {
        Place place = new(
            watch,
            SnapshotFolder.NameOf(watch.Place),
            MachineFingerprint.Of(watch.Place.Path, machine)
        )
        {
            SavedAt = clock.Ticks,
        };
        _places.Add(place);
        try
        {
            if (folder.Read(place.Name) is not { } snapshot)
                return;
            (ReadOnlyMemory<byte> memory, long milliseconds) = SnapshotFrame.Read(
                snapshot,
                place.Fingerprint
            );
            TimeSpan away =
                clock.ToWallClock(clock.Ticks) - DateTimeOffset.FromUnixTimeMilliseconds(milliseconds);
            // The clock may have been set back meanwhile.
            away = away < TimeSpan.Zero ? TimeSpan.Zero : away;
            watch.Restore(memory, clock.Ticks, away);
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
            if (isDue || (since >= ShortestInterval && place.Watch.Changes != place.Changes))
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
        _memory.ResetWrittenCount();
        _snapshot.ResetWrittenCount();
        place.SavedAt = clock.Ticks;
        place.Changes = place.Watch.Changes;
        // Nothing read yet, or since: what is on disk is as good.
        if (place.Watch.Save(_memory, place.Ticks) is not { } ticks)
            return;
        try
        {
            long milliseconds = clock.ToWallClock(ticks).ToUnixTimeMilliseconds();
            SnapshotFrame.Write(_snapshot, place.Fingerprint, milliseconds, _memory.WrittenSpan);
            folder.Write(place.Name, _snapshot.WrittenSpan);
            place.Ticks = ticks;
            Interlocked.Increment(ref _saved);
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

    private sealed record Place(MachineWatch Watch, string Name, byte[] Fingerprint)
    {
        public long SavedAt { get; set; }
        public long Changes { get; set; }
        public long? Ticks { get; set; }
        public long Bytes { get; set; }
    }
}
