using System.Collections.Concurrent;
using Dancerwatch.EdgeAgent.Waiting;

namespace Dancerwatch.EdgeAgent.Tests.Waiting;

public sealed class PollThreadTests : IDisposable
{
    private static readonly TimeProvider s_time = TimeProvider.System;

    // One of its own: the other tests' polls are not to be held up.
    private readonly PollThread? _thread = PollThread.TryStart(s_time);

    public void Dispose() => _thread?.Dispose();

    [Fact]
    public async Task Who_waits_is_woken_on_the_thread_and_never_early_in_the_order_of_the_instants()
    {
        Assert.SkipWhen(_thread is null, "this system has no such thread");
        ConcurrentQueue<(long Due, long Woken, bool OnThread)> woken = [];
        long now = s_time.GetTimestamp();
        long[] dues = [now + 9_000_000, now + 3_000_000, now - 5, now + 3_000_100];

        foreach (long due in dues)
            _thread.WakeAt(
                due,
                new Waiter(() => woken.Enqueue((due, s_time.GetTimestamp(), PollThread.IsCurrent)))
            );

        await Eventually.IsTrueAsync(() => woken.Count == dues.Length);
        Assert.All(woken, one => Assert.True(one.Woken >= one.Due && one.OnThread));
        // The first two may come in any order: one was over before the other was asked for.
        Assert.Equal(dues[0], woken.Last().Due);
        Assert.False(PollThread.IsCurrent);
    }

    [Fact]
    public async Task A_poll_that_holds_the_thread_up_is_left_alone_with_it()
    {
        Assert.SkipWhen(_thread is null, "this system has no such thread");
        using ManualResetEventSlim held = new();
        ConcurrentQueue<Thread> threads = [];
        _thread.WakeAt(
            0,
            new Waiter(() =>
            {
                threads.Enqueue(Thread.CurrentThread);
                held.Wait();
            })
        );
        await Eventually.IsTrueAsync(() => threads.Count == 1);

        _thread.WakeAt(0, new Waiter(() => threads.Enqueue(Thread.CurrentThread)));

        await Eventually.IsTrueAsync(() => threads.Count == 2);
        Thread[] both = [.. threads];
        Assert.NotSame(both[0], both[1]);
        Assert.True(both[0].IsAlive);
        held.Set();
        await Eventually.IsTrueAsync(() => !both[0].IsAlive);
        Assert.True(both[1].IsAlive);
    }

    [Fact]
    public void Phases_lie_apart_and_one_that_was_left_is_taken_again()
    {
        Assert.SkipWhen(_thread is null, "this system has no such thread");
        object[] who = [new(), new(), new(), new()];
        TimeSpan[] phases = [.. who[..3].Select(_thread.TakePhase)];

        Assert.Equal(TimeSpan.Zero, phases[0]);
        Assert.Equal(PollThread.Apart, phases[2] - phases[1]);
        Assert.True(phases[1] > PollThread.Apart);
        _thread.LeavePhase(who[1]);
        Assert.Equal(phases[1], _thread.TakePhase(who[3]));
    }

    private sealed class Waiter(Action woken) : IWaiter
    {
        public void Wake() => woken();
    }
}
