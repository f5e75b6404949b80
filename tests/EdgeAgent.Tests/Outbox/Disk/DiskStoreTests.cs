using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Outbox.Disk;
using Dancerwatch.EdgeAgent.Outbox.Segments;
using FsCheck;
using FsCheck.Xunit;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Outbox.Disk;

public sealed class DiskStoreTests
{
    private readonly FakeTimeProvider _time = new();
    private FragileFolder _folder = new();
    private EventOutbox _outbox = null!;
    private DiskStore _store = null!;
    private int _raised;

    public DiskStoreTests() => Start();

    private void Start(OutboxSettings? settings = null) =>
        (_outbox, _store) = Outboxes.OnDisk(_folder, _time, settings);

    /// <summary>As a kill and a new start: nothing is said goodbye to.</summary>
    private void KillAndStart()
    {
        _folder = _folder.Kill();
        Start();
    }

    private void Raise(int count)
    {
        for (int i = 0; i < count; i++)
            _outbox.Raise(Outboxes.Event(_raised++));
    }

    private void RaiseAndWrite(int count)
    {
        Raise(count);
        _store.Tend();
    }

    private string[] Segments() =>
        [
            .. _folder
                .List()
                .Select(file => file.Name)
                .Where(name => Segment.FirstOf(name) is not null)
                .Order(),
        ];

    private static IEnumerable<int> Numbers(int from, int to) => Enumerable.Range(from, to - from + 1);

    [Fact]
    public void Nothing_is_given_out_before_it_is_on_disk()
    {
        Raise(3);
        Assert.Null(_outbox.TryPeek());

        _store.Tend();

        Assert.Equal(0, Outboxes.NumberOf(_outbox.TryPeek()!));
        for (int seed = 0; seed < 20; seed++)
        {
            (EventOutbox after, _) = Outboxes.OnDisk(_folder.CutPower(new Random(seed)), _time);
            Assert.Equal([0, 1, 2], after.Drain().Select(Outboxes.NumberOf));
        }
    }

    [Fact]
    public void A_new_start_goes_on_where_the_last_one_was_killed_and_numbers_go_on()
    {
        RaiseAndWrite(5);
        _outbox.Acknowledge(_outbox.TryPeek()!);
        _outbox.Acknowledge(_outbox.TryPeek()!);

        KillAndStart();
        RaiseAndWrite(2);

        List<OutboxEntry> sent = _outbox.Drain();
        Assert.Equal(Numbers(2, 6), sent.Select(Outboxes.NumberOf));
        Assert.Equal([3L, 4, 5, 6, 7], sent.Select(entry => entry.Sequence));
        // How old an event of the killed run is nobody knows any more.
        Assert.Equal([true, true, true, false, false], sent.Select(entry => entry.ReadingTicks is null));
    }

    [Fact]
    public void Numbers_go_on_where_everything_was_acknowledged_and_deleted()
    {
        RaiseAndWrite(400);
        Assert.Equal(400, _outbox.Drain().Count);
        _store.Tend();
        Assert.Single(Segments());

        KillAndStart();
        RaiseAndWrite(1);

        Assert.Equal(401, Assert.Single(_outbox.Drain()).Sequence);
    }

    [Fact]
    public void An_event_cut_off_while_it_was_written_is_cut_away_and_costs_no_other()
    {
        RaiseAndWrite(3);
        string segment = Assert.Single(Segments());
        using (IStateFile file = _folder.Open(segment))
            file.Truncate(file.Length - 1);

        KillAndStart();
        RaiseAndWrite(1);

        List<OutboxEntry> sent = _outbox.Drain();
        Assert.Equal([0, 1, 3], sent.Select(Outboxes.NumberOf));
        // The number of what nobody has seen is used again, and nothing is told as lost.
        Assert.Equal([1L, 2, 3], sent.Select(entry => entry.Sequence));
        Assert.Equal((0, 0), (_outbox.Lost, _outbox.Damages));
    }

    [Fact]
    public void A_damaged_last_event_may_have_been_sent_so_its_number_is_told_as_lost_and_not_given_again()
    {
        RaiseAndWrite(3);
        _folder.Damage(Assert.Single(Segments()), bytes => bytes[^1] ^= 1);

        KillAndStart();

        List<OutboxEntry> sent = _outbox.Drain();
        Assert.Equal([1L, 2], sent.Take(2).Select(entry => entry.Sequence));
        Assert.Equal(new LostRange(3, 3, 1), sent[2].Lost);
        RaiseAndWrite(1);
        Assert.Equal(4, Assert.Single(_outbox.Drain()).Sequence);
        Assert.Equal((1, 1), (_outbox.Lost, _outbox.Damages));
    }

    [Property(MaxTest = 60)]
    public void Flipped_bytes_cost_the_events_they_are_in_which_are_told_as_lost(
        PositiveInt count,
        NonNegativeInt[] places
    )
    {
        int raised = count.Get % 300 + 1;
        _folder = new FragileFolder();
        _raised = 0;
        Start();
        RaiseAndWrite(raised);
        foreach (NonNegativeInt place in places ?? [])
        {
            string[] segments = Segments();
            _folder.Damage(
                segments[place.Get % segments.Length],
                bytes => bytes[place.Get % bytes.Length] ^= 0x40
            );
        }
        KillAndStart();

        List<OutboxEntry> sent = _outbox.Drain();
        RaiseAndWrite(1);
        sent.AddRange(_outbox.Drain());

        HashSet<long> told = [.. sent.Where(e => !e.Lost.IsEmpty).SelectMany(e => Range(e.Lost))];
        List<OutboxEntry> events = [.. sent.Where(e => e.Lost.IsEmpty)];
        // A flip may make the last record look as if it had been cut off: then it is taken for one that was never kept.
        long last = events[^1].Sequence;
        Assert.InRange(last, raised, raised + 2);
        Assert.Equal(raised, Outboxes.NumberOf(events[^1]));
        Assert.All(events.SkipLast(1), e => Assert.Equal(e.Sequence - 1, Outboxes.NumberOf(e)));
        Assert.Equal(
            Enumerable.Range(1, (int)last).Select(n => (long)n),
            told.Concat(events.Select(e => e.Sequence)).Order()
        );
        Assert.InRange(told.Count, 0, (places ?? []).Length + 1);
    }

    private static IEnumerable<long> Range(LostRange lost) =>
        Enumerable.Range((int)lost.First, (int)(lost.Last - lost.First + 1)).Select(n => (long)n);

    [Property(MaxTest = 15)]
    public void At_the_size_limit_whole_oldest_segments_go_and_what_they_held_is_told_as_lost(
        PositiveInt batch
    )
    {
        _folder = new FragileFolder();
        _raised = 0;
        Start(new OutboxSettings { MaximumMegabytes = 1 });
        for (int i = 0; i < 1_200; i += batch.Get)
            RaiseAndWrite(Math.Min(batch.Get, 1_200 - i));

        // The limit, and the cursor's own file.
        Assert.InRange(_folder.Used, 900_000, (1 << 20) + 20_000);
        List<OutboxEntry> sent = _outbox.Drain();
        LostRange lost = sent[0].Lost;
        Assert.Equal(1, lost.First);
        Assert.InRange(lost.Last, 1, 700);
        Assert.Equal(Numbers((int)lost.Last, 1_199), sent.Skip(1).Select(Outboxes.NumberOf));
        Assert.Equal(lost.Events, _outbox.Lost);
    }

    [Fact]
    public void A_lost_cursor_sends_again_what_is_there_and_loses_nothing()
    {
        RaiseAndWrite(300);
        for (int i = 0; i < 250; i++)
            _outbox.Acknowledge(_outbox.TryPeek()!);
        _store.Tend();
        _folder.Damage(CursorFile.Name, bytes => Array.Fill(bytes, (byte)0x55));

        KillAndStart();
        RaiseAndWrite(1);

        List<OutboxEntry> sent = _outbox.Drain();
        Assert.All(sent, entry => Assert.True(entry.Lost.IsEmpty));
        int first = Outboxes.NumberOf(sent[0]);
        Assert.InRange(first, 1, 250);
        Assert.Equal(Numbers(first, 300), sent.Select(Outboxes.NumberOf));
        Assert.Equal(301, sent[^1].Sequence);
    }

    [Fact]
    public void A_full_disk_keeps_events_in_memory_and_they_are_written_when_there_is_space_again()
    {
        RaiseAndWrite(3);
        _folder.Capacity = _folder.Used;
        RaiseAndWrite(300);
        Assert.InRange(_outbox.Unwritten, 150, 299);
        int given = 0;
        // What is on disk goes out, the rest waits.
        for (; _outbox.TryPeek() is { } entry && given < 50; given++)
            _outbox.Acknowledge(entry);

        _folder.Capacity = long.MaxValue;
        Raise(1);
        Assert.InRange(_outbox.Unwritten, 150, 300);
        _time.Advance(DiskStore.Pause);
        _store.Tend();

        Assert.Equal(0, _outbox.Unwritten);
        Assert.Equal(Numbers(50, 303), _outbox.Drain().Select(Outboxes.NumberOf));
        Assert.Equal(0, _outbox.Lost);
    }

    [Fact]
    public void On_a_full_disk_with_a_broker_events_go_on_in_the_space_of_those_that_were_taken()
    {
        RaiseAndWrite(1);
        _folder.Capacity = _folder.Used;

        List<OutboxEntry> sent = [];
        for (int i = 0; i < 20; i++)
        {
            Raise(40);
            _time.Advance(DiskStore.Pause);
            _store.Tend();
            sent.AddRange(_outbox.Drain());
        }
        _time.Advance(DiskStore.Pause);
        _store.Tend();
        sent.AddRange(_outbox.Drain());

        Assert.Equal(Numbers(0, 800), sent.Select(Outboxes.NumberOf));
        Assert.Equal(0, _outbox.Lost);
    }

    [Fact]
    public void Beyond_the_memory_the_oldest_are_lost_on_a_full_disk_and_that_is_told()
    {
        _folder.Capacity = _folder.Used;
        Start(new OutboxSettings { MemoryEvents = 10 });
        for (int i = 0; i < 25; i++)
            RaiseAndWrite(1);
        Assert.Null(_outbox.TryPeek());

        _folder.Capacity = long.MaxValue;
        _time.Advance(DiskStore.Pause);
        _store.Tend();

        List<OutboxEntry> sent = _outbox.Drain();
        Assert.Equal(new LostRange(1, 15, 15), sent[0].Lost);
        Assert.Equal(Numbers(15, 24), sent.Skip(1).Select(Outboxes.NumberOf));
    }

    [Fact]
    public void A_write_that_fails_is_done_again_and_leaves_no_trace()
    {
        RaiseAndWrite(2);
        _folder.Flushing = () => throw new IOException("the disk is gone");
        RaiseAndWrite(3);
        Assert.Equal(3, _outbox.Unwritten);
        _folder.Flushing = () => { };

        _time.Advance(DiskStore.Pause);
        RaiseAndWrite(1);
        KillAndStart();

        Assert.Equal(Numbers(0, 5), _outbox.Drain().Select(Outboxes.NumberOf));
        Assert.Equal((0, 0), (_outbox.Lost, _outbox.Damages));
    }

    [Fact]
    public async Task A_disk_that_takes_its_time_keeps_nobody_waiting_but_its_own_thread()
    {
        using ManualResetEventSlim stuck = new();
        using CancellationTokenSource stop = new();
        _folder.Flushing = () => stuck.Wait(TestContext.Current.CancellationToken);
        Task work = _outbox.RunAsync(stop.Token);

        Raise(1_000);

        Assert.Equal(1_000, _outbox.Waiting);
        Assert.Null(_outbox.TryPeek());
        stuck.Set();
        await Eventually.IsTrueAsync(() => _outbox.Unwritten == 0, "all is written");
        await stop.CancelAsync();
        await work;
        Assert.Equal(1_000, _outbox.Drain().Count);
    }

    [Fact]
    public void What_is_rejected_is_kept_for_a_person_and_told_as_lost_even_after_a_kill()
    {
        RaiseAndWrite(2);
        _outbox.Reject(_outbox.TryPeek()!, "NotAuthorized");

        KillAndStart();

        List<OutboxEntry> sent = _outbox.Drain();
        Assert.Equal(new LostRange(1, 1, 1), sent[0].Lost);
        Assert.Equal([1], sent.Skip(1).Select(Outboxes.NumberOf));
        Assert.Contains(_folder.List(), file => file.Name == RejectedFile.Name && file.Length > 500);
    }

    [Fact]
    public async Task What_is_raised_while_the_daemon_stops_is_there_at_the_next_start()
    {
        RaiseAndWrite(1);
        Raise(2);

        await _outbox.DisposeAsync();

        _folder = _folder.CutPower(new Random(1));
        Start();
        Assert.Equal([0, 1, 2], _outbox.Drain().Select(Outboxes.NumberOf));
    }

    [Fact]
    public void A_folder_that_cannot_be_written_is_refused_with_one_clear_error()
    {
        FragileFolder full = new() { Capacity = 100 };

        IOException refusal = Assert.Throws<IOException>(() => Outboxes.OnDisk(full, _time));

        Assert.Equal(
            "stateDirectory is of no use at /fragile: No space left on device. Allowed: a directory of this daemon alone that its user may write to, with space left. Correct its owner, or name another under stateDirectory.",
            refusal.Message
        );
    }
}
