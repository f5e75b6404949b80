using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Outbox.Disk;
using Dancerwatch.EdgeAgent.Outbox.Segments;
using Dancerwatch.EdgeAgent.Tests.Outbox;
using Dancerwatch.EdgeAgent.Tests.Outbox.Disk;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Warnings;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Snapshots;

/// <summary>Killed between a change of a condition and the snapshot that would know of it.</summary>
public sealed class RecallTests
{
    private readonly FakeTimeProvider _time = new(new DateTimeOffset(2026, 11, 25, 8, 30, 0, TimeSpan.Zero));
    private FragileFolder _folder = new();
    private FragileFolder _disk = new();
    private EventOutbox _outbox = null!;
    private DiskStore _store = null!;
    private SnapshotRun _run = null!;

    public RecallTests() => Start();

    private void Start()
    {
        (_outbox, _store) = Outboxes.OnDisk(_disk, _time);
        _run = new SnapshotRun(_folder, _time, outbox: _outbox);
    }

    private void KillAndStart()
    {
        (_folder, _disk) = (_folder.Kill(), _disk.Kill());
        _time.Advance(TimeSpan.FromSeconds(20));
        Start();
    }

    private MachineEvent LoseData()
    {
        _run.Read(10, good: false);
        return Assert.Single(_run.Raised);
    }

    [Theory]
    [InlineData(true, "whole")]
    [InlineData(false, "whole")]
    [InlineData(true, "broken")]
    [InlineData(true, "none")]
    public void What_was_told_is_not_told_again_and_is_cleared_as_the_same_occurrence(
        bool isSent,
        string snapshot
    )
    {
        _run.Read(70);
        if (snapshot != "none")
            _run.Snapshots.SaveAll();
        if (snapshot == "broken")
            _folder.Damage(SnapshotRun.FileName, bytes => bytes[100] ^= 1);
        MachineEvent raised = LoseData();
        _store.Tend();
        if (isSent)
            _outbox.Drain();

        KillAndStart();
        Assert.Contains(_run.Log.Entries, entry => entry.Id == 2304);
        _run.Read(30, good: false);
        Assert.Empty(_run.Raised);
        OpenCondition open = Assert.Single(_run.Watches[0].State()!.Open);
        Assert.Equal(raised.OnsetMilliseconds, open.SinceMilliseconds);
        Assert.Equal(raised.Transition.Evidence, open.Latest.Evidence);

        _run.Read(10);
        MachineEvent cleared = Assert.Single(_run.Raised);
        Assert.Equal(ConditionState.Cleared, cleared.Transition.State);
        Assert.Equal(raised.Id[..^1] + "1", cleared.Id);
    }

    [Fact]
    public void What_was_cleared_is_not_cleared_again()
    {
        _run.Read(70);
        LoseData();
        _store.Tend();
        _run.Snapshots.SaveAll();
        _run.Read(10);
        Assert.Equal(2, _run.Raised.Count);
        _store.Tend();

        KillAndStart();
        _run.Read(30);
        Assert.Empty(_run.Raised);
        Assert.Empty(_run.Watches[0].State()!.Open);
    }

    [Fact]
    public void What_the_kill_took_before_it_was_on_disk_is_raised_once_more_and_only_that()
    {
        _run.Read(70);
        _run.Snapshots.SaveAll();
        LoseData();

        KillAndStart();
        _run.Read(30, good: false);
        _store.Tend();
        Assert.Equal(ConditionState.Raised, Assert.Single(_run.Raised).Transition.State);
        Assert.Equal(1, Assert.Single(_outbox.Drain()).Sequence);
    }

    [Fact]
    public void No_snapshot_knows_of_an_event_that_is_not_on_disk()
    {
        _run.Read(70);
        LoseData();
        _run.Snapshots.SaveDue();
        _run.Snapshots.SaveAll();
        Assert.Equal(0, _run.Snapshots.Saved);
        _store.Tend();
        _run.Snapshots.SaveDue();
        Assert.Equal(1, _run.Snapshots.Saved);
    }

    [Fact]
    public void Segments_stay_though_all_is_sent_until_a_snapshot_knows_of_their_events()
    {
        _run.Read(70);
        _run.Snapshots.SaveAll();
        MachineEvent raised = LoseData();
        for (int i = 0; i < 500; i++)
            _outbox.Raise(Outboxes.Event(i));
        _store.Tend();
        _outbox.Drain();
        _store.Tend();
        Assert.True(Segments() > 2);

        KillAndStart();
        _run.Read(5, good: false);
        Assert.Equal(
            [(Condition.LimitApproach, 499), (raised.Transition.Condition, 0)],
            _run.Watches[0].State()!.Open.Select(open => (open.Latest.Condition, open.Latest.Step))
        );
        Assert.Empty(_run.Raised);
        _run.Snapshots.SaveAll();
        _store.Tend();
        Assert.Equal(1, Segments());
    }

    [Fact]
    public void After_the_outbox_was_emptied_its_new_numbers_count()
    {
        for (int i = 0; i < 7; i++)
            _outbox.Raise(Machines.Event(Machines.LimitApproach with { State = ConditionState.Cleared }));
        _store.Tend();
        _run.Read(70);
        _run.Snapshots.SaveAll();

        _disk = new FragileFolder();
        KillAndStart();
        _run.Read(10);
        LoseData();
        _store.Tend();
        KillAndStart();
        _run.Read(10, good: false);
        Assert.Empty(_run.Raised);
        Assert.Single(_run.Watches[0].State()!.Open);
    }

    private int Segments() => _disk.List().Count(file => Segment.FirstOf(file.Name) is not null);
}
