using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Tests.Outbox;

public sealed class EventQueueTests : IDisposable
{
    private readonly EventQueue _queue = new(capacity: 3);
    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    private void Raise(int step) =>
        _queue.Raise(
            Machines.Event(Machines.LimitApproach with { Step = step, State = ConditionState.Changed })
        );

    private async Task<string> TakeAsync()
    {
        OutboxEntry entry = await _queue.PeekAsync(Cancellation);
        _queue.Acknowledge(entry);
        return entry.Id[^1..];
    }

    [Fact]
    public async Task Events_leave_in_the_order_they_came()
    {
        for (int step = 0; step < 3; step++)
            Raise(step);

        Assert.Equal(["0", "1", "2"], [await TakeAsync(), await TakeAsync(), await TakeAsync()]);
        Assert.Equal(0, _queue.Count);
        Assert.Equal(0, _queue.Dropped);
    }

    [Fact]
    public async Task An_event_that_is_not_acknowledged_is_given_again()
    {
        Raise(0);

        OutboxEntry first = await _queue.PeekAsync(Cancellation);
        OutboxEntry again = await _queue.PeekAsync(Cancellation);

        Assert.Same(first, again);
        Assert.Equal(1, _queue.Count);
    }

    [Fact]
    public async Task When_full_the_oldest_gives_way_and_is_counted()
    {
        for (int step = 0; step < 8; step++)
            Raise(step);

        Assert.Equal(3, _queue.Count);
        Assert.Equal(5, _queue.Dropped);
        Assert.Equal(["5", "6", "7"], [await TakeAsync(), await TakeAsync(), await TakeAsync()]);
    }

    [Fact]
    public async Task Acknowledging_one_that_gave_way_meanwhile_costs_no_other()
    {
        for (int step = 0; step < 3; step++)
            Raise(step);
        OutboxEntry onItsWay = await _queue.PeekAsync(Cancellation);
        Raise(3);

        _queue.Acknowledge(onItsWay);

        Assert.Equal(3, _queue.Count);
        Assert.Equal("1", await TakeAsync());
    }

    [Fact]
    public async Task Whoever_waits_is_woken_by_the_next_event()
    {
        Task<OutboxEntry> waiting = _queue.PeekAsync(Cancellation).AsTask();
        Assert.False(waiting.IsCompleted);

        Raise(4);

        OutboxEntry entry = await waiting.WaitAsync(TimeSpan.FromSeconds(10), Cancellation);
        Assert.EndsWith(":4", entry.Id, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Waiting_ends_when_cancelled()
    {
        using CancellationTokenSource cancel = new();
        Task<OutboxEntry> waiting = _queue.PeekAsync(cancel.Token).AsTask();

        await cancel.CancelAsync();

        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => waiting);
    }

    [Fact]
    public void A_capacity_below_one_is_refused() =>
        Assert.Throws<ArgumentOutOfRangeException>(() => new EventQueue(0));

    public void Dispose() => _queue.Dispose();
}
