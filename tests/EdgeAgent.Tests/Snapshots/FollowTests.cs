using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Outbox.Disk;
using Dancerwatch.EdgeAgent.Snapshots;
using Dancerwatch.EdgeAgent.Tests.Outbox;
using Dancerwatch.EdgeAgent.Tests.Outbox.Disk;
using Dancerwatch.EdgeAgent.Watching;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Snapshots;

/// <summary>What becomes of snapshots when the configuration changes while the daemon runs.</summary>
public sealed class FollowTests
{
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 11, 25, 8, 30, 0, TimeSpan.Zero));
    private readonly FragileFolder _folder = new();
    private readonly FragileFolder _disk = new();
    private readonly DiskStore _store;
    private readonly SnapshotRun _run;

    public FollowTests()
    {
        (EventOutbox outbox, _store) = Outboxes.OnDisk(_disk, _time);
        _run = new SnapshotRun(_folder, _time, machines: 3, outbox: outbox);
        _run.Read(10);
        _run.Snapshots.SaveAll();
    }

    private void Follow(params MachineWatch[] watches) =>
        _run.Snapshots.Follow([.. watches.Select(watch => (watch, SnapshotRun.Tea1))]);

    private string[] Files() => [.. _folder.List().Select(file => file.Name).Order()];

    private static string[] FilesOf(params string[] machines) =>
        [.. machines.Select(machine => SnapshotFolder.NameOf(SnapshotRun.PlaceOf(machine)))];

    [Fact]
    public void The_snapshot_of_a_machine_that_is_taken_out_goes_and_the_others_stay()
    {
        Assert.Equal(FilesOf("tea-1", "tea-2", "tea-3"), Files());
        Follow(_run.Watches[0], _run.Watches[2]);
        Assert.Equal(FilesOf("tea-1", "tea-3"), Files());
        Assert.Equal(_folder.Used, _run.Snapshots.Bytes);

        _run.Read(1);
        _run.Snapshots.SaveAll();
        Assert.Equal(FilesOf("tea-1", "tea-3"), Files());
        Assert.Equal(5, _run.Snapshots.Saved);
    }

    [Fact]
    public void A_machine_that_is_watched_anew_begins_afresh_and_its_snapshot_with_it()
    {
        MachineWatch anew = _run.Watch("tea-2");
        Follow(_run.Watches[0], anew, _run.Watches[2]);
        Assert.Equal(FilesOf("tea-1", "tea-3"), Files());
        _run.Watches[1] = anew;
        _run.Read(10);
        Assert.InRange(anew.State()!.EightHours.Count, 1, 500);
        Assert.True(_run.EightHours > 600, $"{_run.EightHours}");
        _run.Snapshots.SaveAll();
        Assert.Equal(FilesOf("tea-1", "tea-2", "tea-3"), Files());

        SnapshotRun next = new(_folder, _time, machines: 3);
        next.Read(1);
        int[] counts = [.. next.Watches.Select(watch => watch.State()!.EightHours.Count)];
        Assert.True(counts[0] > 600 && counts[2] > 600, $"{counts[0]}, {counts[2]}");
        Assert.InRange(counts[1], 200, 600);
        Assert.Equal(0, next.Snapshots.SetAside);
    }

    [Fact]
    public void A_machine_that_is_watched_anew_takes_over_nothing_that_its_old_watch_had_raised()
    {
        _run.Read(10, good: false);
        _store.Tend();
        MachineWatch anew = _run.Watch("tea-2");
        Follow(_run.Watches[0], anew, _run.Watches[2]);
        _run.Watches[1].Close("Its settings changed.");
        _run.Watches[1] = anew;
        _run.Read(1);
        Assert.Empty(anew.State()!.Open);
        Assert.Single(_run.Watches[0].State()!.Open);
    }

    [Fact]
    public void A_machine_that_comes_back_after_a_restart_finds_nothing_of_then()
    {
        Follow(_run.Watches[0]);
        SnapshotRun next = new(_folder, _time);
        MachineWatch back = next.Watch("tea-2");
        next.Snapshots.Follow([(next.Watches[0], SnapshotRun.Tea1), (back, SnapshotRun.Tea1)]);
        next.Watches.Add(back);
        next.Read(10);
        Assert.InRange(back.State()!.EightHours.Count, 1, 500);
        Assert.True(next.EightHours > 600, $"{next.EightHours}");
    }

    [Fact]
    public void Where_no_machine_is_left_nothing_is_saved()
    {
        Follow();
        Assert.Empty(Files());
        Assert.Equal(0, _run.Snapshots.Bytes);
        _run.Read(1);
        _run.Snapshots.SaveAll();
        Assert.Empty(Files());
    }
}
