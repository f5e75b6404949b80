using System.Buffers;
using System.Buffers.Binary;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Snapshots;
using Dancerwatch.EdgeAgent.Tests.Outbox.Disk;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Warnings;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Snapshots;

public sealed class MachineSnapshotsTests
{
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 11, 25, 8, 30, 0, TimeSpan.Zero));
    private readonly FragileFolder _folder = new();

    [Fact]
    public void A_restart_forgets_no_window_and_raises_nothing_again()
    {
        SnapshotRun before = new(_folder, _time);
        before.Read(70);
        before.Read(10, good: false);
        MachineEvent raised = Assert.Single(before.Raised);
        int count = before.EightHours;
        before.Snapshots.SaveAll();

        _time.Advance(TimeSpan.FromMinutes(3));
        SnapshotRun after = new(_folder, _time);
        after.Read(10, good: false);
        Assert.Empty(after.Raised);
        Assert.Equal(
            raised.OnsetMilliseconds,
            Assert.Single(after.Watches[0].State()!.Open).SinceMilliseconds
        );
        after.Read(10);

        MachineEvent cleared = Assert.Single(after.Raised);
        Assert.Equal(
            (ConditionState.Cleared, raised.OnsetMilliseconds),
            (cleared.Transition.State, cleared.OnsetMilliseconds)
        );
        Assert.EndsWith(":1", cleared.Id, StringComparison.Ordinal);
        Assert.InRange(after.EightHours, count + 1, count + 501);
        Assert.Contains(after.Log.Entries, entry => entry is { Id: 2300, Level: LogLevel.Information });
        Assert.Equal(0, after.Snapshots.SetAside);
    }

    public static TheoryData<string, Action<byte[]>> Damages() =>
        new()
        {
            { "version 7", bytes => bytes[8] = 7 },
            { "not as they were written", bytes => bytes[^1_000] ^= 1 },
            { "not as they were written", bytes => bytes[60] ^= 1 },
            { "no snapshot", bytes => bytes[0] ^= 1 },
            { "no snapshot", bytes => bytes.AsSpan().Clear() },
            {
                "not as they were written",
                bytes => BinaryPrimitives.WriteInt32LittleEndian(bytes.AsSpan(52), int.MaxValue)
            },
        };

    [Theory, MemberData(nameof(Damages))]
    public void A_snapshot_that_cannot_be_used_is_put_aside_and_told_once(string why, Action<byte[]> damage)
    {
        SaveOne();
        _folder.Damage(SnapshotRun.FileName, damage);
        PutAside(why);
    }

    [Fact]
    public void A_snapshot_that_was_cut_off_is_put_aside_wherever_it_was_cut()
    {
        SaveOne();
        byte[] whole = Bytes();
        for (int length = 0; length < whole.Length; length += 9_973)
        {
            byte[] cut = whole[..length];
            Assert.Throws<InvalidDataException>(() =>
                SnapshotFrame.Read(cut, new byte[MachineFingerprint.Length])
            );
        }
        using (var file = _folder.Open(SnapshotRun.FileName))
            file.Truncate(whole.Length - 1);
        PutAside("not as they were written");
    }

    [Fact]
    public void A_snapshot_of_another_configuration_of_the_machine_is_put_aside()
    {
        SaveOne();
        MachineSettings other = SnapshotRun.Tea1.Machine with
        {
            Fill = SnapshotRun.Tea1.Machine.Fill with { GapAtFull = 3_501 },
        };
        PutAside("configured otherwise", SnapshotRun.Tea1 with { Machine = other });
    }

    [Fact]
    public void Another_limit_of_a_warning_forgets_nothing()
    {
        SaveOne();
        MachineSettings other = SnapshotRun.Tea1.Machine with { Warnings = new() { Sensitivity = 2 } };
        SnapshotRun run = new(_folder, _time, SnapshotRun.Tea1 with { Machine = other });
        Assert.Equal(0, run.Snapshots.SetAside);
    }

    [Fact]
    public void Random_bytes_are_put_aside()
    {
        Random random = new(4);
        SaveOne();
        byte[] whole = Bytes();
        byte[] fingerprint = whole[12..44];
        for (int i = 0; i < 20_000; i++)
        {
            byte[] bytes = [.. whole.AsSpan(0, random.Next(200))];
            random.NextBytes(bytes.AsSpan(random.Next(bytes.Length + 1)));
            Assert.Throws<InvalidDataException>(() => SnapshotFrame.Read(bytes, fingerprint));
        }
    }

    [Fact]
    public void A_full_disk_is_told_once_and_the_last_snapshot_stays()
    {
        SaveOne();
        SnapshotRun run = new(_folder, _time);
        byte[] before = Bytes();
        _folder.Capacity = _folder.Used + 100;
        for (int i = 0; i < 3; i++)
        {
            run.Read(1);
            run.Snapshots.SaveAll();
        }
        Assert.Equal(3, run.Snapshots.Failed);
        Assert.Single(run.Log.Entries, entry => entry.Id == 2302);
        Assert.Equal(before, Bytes());
        Assert.Equal(before.Length, _folder.Used);

        _folder.Capacity = long.MaxValue;
        run.Snapshots.SaveAll();
        Assert.Single(run.Log.Entries, entry => entry.Id == 2303);
        Assert.NotEqual(before, Bytes());
    }

    [Fact]
    public void Whenever_the_power_is_cut_there_is_a_whole_snapshot()
    {
        Random random = new(11);
        SaveOne();
        SnapshotRun run = new(_folder, _time);
        for (int i = 0; i < 40; i++)
        {
            run.Read(0.5);
            FragileFolder? cut = null;
            _folder.Flushing = () => cut = _folder.CutPower(random);
            run.Snapshots.SaveAll();
            foreach (FragileFolder after in new[] { cut!, _folder.CutPower(random) })
                Assert.Equal(0, new SnapshotRun(after, _time).Snapshots.SetAside);
        }
    }

    [Fact]
    public void Each_machine_is_saved_every_ten_minutes_and_one_a_look()
    {
        SnapshotRun run = new(_folder, _time, machines: 4);
        run.Read(599);
        run.Snapshots.SaveDue();
        Assert.Equal(0, run.Snapshots.Saved);
        run.Read(1);
        for (int look = 1; look <= 6; look++)
        {
            run.Snapshots.SaveDue();
            run.Read(0.24);
            Assert.Equal(Math.Min(look, 4), run.Snapshots.Saved);
        }
        Assert.Equal(run.Snapshots.Bytes, _folder.Used);
    }

    [Fact]
    public void A_condition_that_changed_is_saved_at_the_next_look()
    {
        SnapshotRun run = new(_folder, _time, machines: 2);
        run.Read(10);
        run.Read(3.1, good: false);
        run.Snapshots.SaveDue();
        Assert.Equal(2, run.Snapshots.Saved);
        run.Read(1);
        run.Snapshots.SaveDue();
        Assert.Equal(2, run.Snapshots.Saved);

        // Cleared: not before five minutes are over.
        run.Read(290);
        run.Snapshots.SaveDue();
        Assert.Equal(2, run.Snapshots.Saved);
        run.Read(10);
        run.Snapshots.SaveDue();
        Assert.Equal(4, run.Snapshots.Saved);
    }

    [Fact]
    public void Copying_a_machines_memory_allocates_nothing()
    {
        SnapshotRun run = new(_folder, _time);
        run.Read(5);
        ArrayBufferWriter<byte> into = new();
        run.Watches[0].Save(into, null);
        int size = into.WrittenCount;
        long allocated = Allocated.Bytes(_ =>
        {
            into.ResetWrittenCount();
            run.Watches[0].Save(into, null);
        });
        // The ledger itself, and the walk over the minutes.
        Assert.InRange(allocated, 0, 256);
        Assert.InRange(size, 10_000, 600_000);
    }

    private void SaveOne()
    {
        SnapshotRun run = new(_folder, _time);
        run.Read(70);
        run.Snapshots.SaveAll();
        Assert.Equal(1, run.Snapshots.Saved);
    }

    private byte[] Bytes()
    {
        using var file = _folder.Open(SnapshotRun.FileName);
        byte[] bytes = new byte[file.Length];
        file.Read(0, bytes);
        return bytes;
    }

    private void PutAside(string why, WatchedMachineSettings? machine = null)
    {
        SnapshotRun run = new(_folder, _time, machine);
        Assert.Equal(1, run.Snapshots.SetAside);
        (LogLevel level, int id, string text) = Assert.Single(run.Log.Entries);
        Assert.Equal((LogLevel.Warning, 2301), (level, id));
        Assert.Contains(why, text, StringComparison.Ordinal);
        Assert.Equal($"{SnapshotRun.FileName}.aside", Assert.Single(_folder.List()).Name);

        run.Read(10);
        Assert.InRange(run.EightHours, 1, 500);
        run.Snapshots.SaveAll();
        Assert.Equal(0, new SnapshotRun(_folder, _time, machine).Snapshots.SetAside);
    }
}
