using System.Buffers;
using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Hosting;
using Dancerwatch.EdgeAgent.Snapshots;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Fleet.Records;
using Microsoft.Extensions.Logging;
using Orleans.Storage;

namespace Dancerwatch.Fleet.Holding;

/// <summary>
/// The snapshots of a controller's machines, the daemon's own, in the fleet's storage instead of on one host's disk. For one
/// caller at a time.
/// </summary>
internal sealed class MachineMemory(Record<MemoryRecord> record, MonotonicClock clock, ILogger logger)
{
    private readonly ArrayBufferWriter<byte> _snapshot = new();
    private readonly Dictionary<string, long> _savedTicks = [];

    /// <summary>Takes up where the last holder stopped: each machine's snapshot, and what was told after it.</summary>
    /// <returns>Machines that had a snapshot.</returns>
    public async Task<int> RestoreAsync(IReadOnlyList<WatchedMachine> machines, IReadOnlyList<ToldEvent> told)
    {
        await record.ReadAsync();
        int restored = 0;
        foreach (WatchedMachine machine in machines)
        {
            long? known = Restore(machine);
            restored += known is null ? 0 : 1;
            foreach (ToldEvent later in told.Where(one => one.Number > (known ?? 0)))
            {
                if (
                    later.Source == machine.Watch.Place.Path
                    && ToldChange.TryRead(later.Payload, ToTicks, out ToldChange? change)
                )
                    machine.Watch.Recall(change.OnsetMilliseconds, change.Transition, clock.Ticks);
            }
        }
        return restored;
    }

    /// <summary>Takes what the machines remember now, for <see cref="WriteAsync"/>.</summary>
    /// <param name="known">Number of the last event that is written down; events after it may be in.</param>
    /// <returns>Whether there is anything new.</returns>
    public bool Take(IReadOnlyList<WatchedMachine> machines, long known)
    {
        bool isNew = false;
        foreach (WatchedMachine machine in machines)
        {
            string place = machine.Watch.Place.Path;
            SnapshotFrame.Begin(_snapshot);
            if (machine.Watch.Save(_snapshot, Saved(place)) is not { } ticks)
                continue;
            long milliseconds = clock.ToWallClock(ticks).ToUnixTimeMilliseconds();
            SnapshotFrame.End(_snapshot, MachineFingerprint.Of(place, machine.Settings), milliseconds, known);
            record.Value.Snapshots[place] = _snapshot.WrittenSpan.ToArray();
            _savedTicks[place] = ticks;
            isNew = true;
        }
        return isNew;
    }

    /// <summary>Writes down what was taken. Only for who holds the controller, and has written down all that was told.</summary>
    public async Task WriteAsync()
    {
        MemoryRecord now = record.Value;
        while (true)
        {
            try
            {
                await record.WriteAsync();
                return;
            }
            catch (InconsistentStateException)
            {
                // The last holder's last write came late, or one of ours arrived though it seemed to fail: ours is newer.
                await record.ReadAsync();
                record.Value.Snapshots = now.Snapshots;
                record.Value.Aside = now.Aside;
            }
        }
    }

    private long? Saved(string place) => _savedTicks.TryGetValue(place, out long ticks) ? ticks : null;

    /// <returns>Number of the last event that is in its snapshot, 0 before the first; null where it has no snapshot.</returns>
    private long? Restore(WatchedMachine machine)
    {
        string place = machine.Watch.Place.Path;
        if (!record.Value.Snapshots.TryGetValue(place, out byte[]? snapshot))
            return null;
        try
        {
            return Restore(machine, snapshot);
        }
        catch (Exception e) when (e is InvalidDataException or ArgumentOutOfRangeException)
        {
            string why = e.Message.TrimEnd('.');
            long? known = RestoreFromAside(machine);
            if (known is null)
                logger.SnapshotAside(machine.Settings.Name, why);
            record.Value.Aside[place] = snapshot;
            record.Value.Snapshots.Remove(place);
            return known;
        }
    }

    private long? RestoreFromAside(WatchedMachine machine)
    {
        if (!record.Value.Aside.TryGetValue(machine.Watch.Place.Path, out byte[]? snapshot))
            return null;
        try
        {
            return Restore(machine, snapshot);
        }
        catch (Exception e) when (e is InvalidDataException or ArgumentOutOfRangeException)
        {
            return null;
        }
    }

    private long Restore(WatchedMachine machine, byte[] snapshot)
    {
        (ReadOnlyMemory<byte> memory, long milliseconds, long known) = SnapshotFrame.Read(
            snapshot,
            MachineFingerprint.Of(machine.Watch.Place.Path, machine.Settings)
        );
        long now = clock.Ticks;
        TimeSpan away = clock.ToWallClock(now) - DateTimeOffset.FromUnixTimeMilliseconds(milliseconds);
        // The hosts' clocks may differ.
        machine.Watch.Restore(memory, now, away < TimeSpan.Zero ? TimeSpan.Zero : away);
        return known;
    }

    private long ToTicks(long milliseconds)
    {
        long now = clock.Ticks;
        TimeSpan ago = clock.ToWallClock(now) - DateTimeOffset.FromUnixTimeMilliseconds(milliseconds);
        return now - Math.Max(0, ago.Ticks);
    }
}
