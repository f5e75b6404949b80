using System.Text.Json;
using Dancerwatch.EdgeAgent.Outbox;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Outbox;

public sealed class EventOutboxTests : IAsyncDisposable
{
    private readonly FakeTimeProvider _time = new();
    private readonly EventOutbox _outbox;

    public EventOutboxTests() => _outbox = Outboxes.InMemory(capacity: 3, _time);

    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    private void Raise(int from, int to)
    {
        for (int number = from; number <= to; number++)
            _outbox.Raise(Outboxes.Event(number));
    }

    [Fact]
    public void Events_leave_in_the_order_they_came_numbered_from_one()
    {
        Raise(0, 2);

        List<OutboxEntry> sent = _outbox.Drain();

        Assert.Equal([0, 1, 2], sent.Select(Outboxes.NumberOf));
        Assert.Equal([1L, 2, 3], sent.Select(entry => entry.Sequence));
        Assert.Equal((0, 0), (_outbox.Waiting, _outbox.Lost));
    }

    [Fact]
    public async Task An_event_that_is_not_acknowledged_is_given_again()
    {
        Raise(0, 0);

        OutboxEntry first = await _outbox.PeekAsync(Cancellation);
        OutboxEntry again = await _outbox.PeekAsync(Cancellation);

        Assert.Same(first, again);
        Assert.Equal(1, _outbox.Waiting);
    }

    [Fact]
    public void When_full_the_oldest_give_way_and_the_word_of_them_goes_first()
    {
        Raise(0, 7);

        List<OutboxEntry> sent = _outbox.Drain();

        Assert.Equal(new LostRange(1, 5, 5), sent[0].Lost);
        Assert.Equal([5, 6, 7], sent.Skip(1).Select(Outboxes.NumberOf));
        Assert.Equal((0, 5), (_outbox.Waiting, _outbox.Lost));
    }

    [Fact]
    public void The_word_of_lost_events_is_an_event_that_names_the_first_and_the_last()
    {
        Raise(0, 7);

        OutboxEntry word = _outbox.TryPeek()!;

        JsonElement sent = JsonDocument.Parse(word.Payload).RootElement;
        Assert.Equal("1.0", sent.GetProperty("specversion").GetString());
        Assert.Equal("dancerwatch.events.lost", sent.GetProperty("type").GetString());
        Assert.Equal(Outboxes.Source, sent.GetProperty("source").GetString());
        Assert.Equal("dancerwatch:lost:1:5", sent.GetProperty("id").GetString());
        Assert.Equal("0000000005", sent.GetProperty("sequence").GetString());
        Assert.Equal(
            $$"""{"agent":"dancerwatch","first_sequence":1,"last_sequence":5,"events":5,"ts":{{_time.GetUtcNow().ToUnixTimeMilliseconds()}}}""",
            sent.GetProperty("data").GetRawText()
        );
        Assert.Equal((word.Id, word.Source), (sent.GetProperty("id").GetString(), Outboxes.Source));
    }

    [Fact]
    public void One_that_is_on_its_way_does_not_give_way()
    {
        Raise(0, 2);
        OutboxEntry onItsWay = _outbox.TryPeek()!;
        Raise(3, 5);

        _outbox.Acknowledge(onItsWay);

        List<OutboxEntry> sent = _outbox.Drain();
        Assert.Equal(new LostRange(2, 3, 2), sent[0].Lost);
        Assert.Equal([3, 4, 5], sent.Skip(1).Select(Outboxes.NumberOf));
    }

    [Fact]
    public void A_rejected_event_is_told_as_lost_and_those_behind_it_go_on()
    {
        Raise(0, 2);
        _outbox.Acknowledge(_outbox.TryPeek()!);

        _outbox.Reject(_outbox.TryPeek()!, "NotAuthorized");

        List<OutboxEntry> sent = _outbox.Drain();
        Assert.Equal(new LostRange(2, 2, 1), sent[0].Lost);
        Assert.Equal([2], sent.Skip(1).Select(Outboxes.NumberOf));
        Assert.Equal((1, 1), (_outbox.Lost, _outbox.Rejected));
    }

    [Fact]
    public async Task Where_the_word_itself_is_rejected_events_go_on_and_it_is_offered_again_later_with_all_that_is_lost_by_then()
    {
        Raise(0, 2);
        _outbox.Reject(_outbox.TryPeek()!, "NotAuthorized");
        _outbox.Reject(_outbox.TryPeek()!, "NotAuthorized");

        _outbox.Acknowledge(_outbox.TryPeek()!);
        _outbox.Reject(_outbox.TryPeek()!, "NotAuthorized");
        Assert.Null(_outbox.TryPeek());
        Task<OutboxEntry> waiting = _outbox.PeekAsync(Cancellation).AsTask();
        Assert.False(waiting.IsCompleted);
        _time.Advance(UntoldLoss.Pause);

        OutboxEntry word = await waiting.WaitAsync(TimeSpan.FromSeconds(10), Cancellation);
        // Events 1 and 3; 2 arrived.
        Assert.Equal(new LostRange(1, 3, 2), word.Lost);
        _outbox.Acknowledge(word);
        Assert.Null(_outbox.TryPeek());
    }

    [Fact]
    public void What_is_lost_while_the_word_is_on_its_way_is_told_in_another()
    {
        Raise(0, 3);
        OutboxEntry word = _outbox.TryPeek()!;
        Assert.Equal(new LostRange(1, 1, 1), word.Lost);
        _outbox.Acknowledge(word);
        OutboxEntry two = _outbox.TryPeek()!;
        Raise(4, 6);
        _outbox.Acknowledge(two);

        Assert.Equal(
            [new LostRange(3, 4, 2), default, default, default],
            _outbox.Drain().Select(entry => entry.Lost)
        );
    }

    [Fact]
    public async Task Whoever_waits_is_woken_by_the_next_event()
    {
        Task<OutboxEntry> waiting = _outbox.PeekAsync(Cancellation).AsTask();
        Assert.False(waiting.IsCompleted);

        Raise(4, 4);

        OutboxEntry entry = await waiting.WaitAsync(TimeSpan.FromSeconds(10), Cancellation);
        Assert.Equal(4, Outboxes.NumberOf(entry));
    }

    [Fact]
    public async Task Waiting_ends_when_cancelled()
    {
        using CancellationTokenSource cancel = new();
        Task<OutboxEntry> waiting = _outbox.PeekAsync(cancel.Token).AsTask();

        await cancel.CancelAsync();

        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => waiting);
    }

    [Fact]
    public void A_capacity_below_one_is_refused() =>
        Assert.Throws<ArgumentOutOfRangeException>(() => Outboxes.InMemory(0, _time));

    public ValueTask DisposeAsync() => _outbox.DisposeAsync();
}
