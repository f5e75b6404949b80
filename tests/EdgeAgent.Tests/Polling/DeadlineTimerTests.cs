using Dancerwatch.EdgeAgent.Polling;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Polling;

public sealed class DeadlineTimerTests : IDisposable
{
    private readonly FakeTimeProvider _time = new();
    private readonly MonotonicClock _clock;
    private readonly DeadlineTimer _timer;

    public DeadlineTimerTests()
    {
        _clock = new MonotonicClock(_time);
        _timer = new DeadlineTimer(_clock);
    }

    public void Dispose() => _timer.Dispose();

    [Fact]
    public void An_instant_that_has_passed_is_not_waited_for()
    {
        Assert.True(_timer.WaitUntilAsync(0, CancellationToken.None).AsTask().IsCompletedSuccessfully);
        _time.Advance(TimeSpan.FromSeconds(1));
        Assert.True(
            _timer
                .WaitUntilAsync(TimeSpan.TicksPerSecond, CancellationToken.None)
                .AsTask()
                .IsCompletedSuccessfully
        );
    }

    [Fact]
    public async Task A_wait_never_ends_early_and_fractions_of_a_millisecond_end_with_the_next_whole_one()
    {
        long due = (20 * TimeSpan.TicksPerMillisecond) + 1;

        Task wait = _timer.WaitUntilAsync(due, CancellationToken.None).AsTask();

        _time.Advance(TimeSpan.FromMilliseconds(20));
        Assert.False(wait.IsCompleted);
        _time.Advance(TimeSpan.FromMilliseconds(1));
        await wait.WaitAsync(TimeSpan.FromSeconds(10), TestContext.Current.CancellationToken);
        Assert.True(_clock.Ticks >= due);
    }

    [Fact]
    public async Task A_cancelled_wait_ends_as_cancelled_and_the_timer_serves_the_next_one()
    {
        using CancellationTokenSource stop = new();
        Task wait = _timer.WaitUntilAsync(TimeSpan.TicksPerSecond, stop.Token).AsTask();

        await stop.CancelAsync();
        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => wait);

        Task next = _timer.WaitUntilAsync(2 * TimeSpan.TicksPerSecond, CancellationToken.None).AsTask();
        // The timer of the wait that was cancelled would fire here; it must not end this one.
        _time.Advance(TimeSpan.FromSeconds(1));
        Assert.False(next.IsCompleted);
        _time.Advance(TimeSpan.FromSeconds(1));
        await next.WaitAsync(TimeSpan.FromSeconds(10), TestContext.Current.CancellationToken);
    }

    [Fact]
    public async Task A_wait_on_the_real_clock_ends_after_its_instant()
    {
        MonotonicClock clock = new(TimeProvider.System);
        using DeadlineTimer timer = new(clock);
        for (long due = 0; due < 50 * TimeSpan.TicksPerMillisecond; due += 25_000)
        {
            await timer.WaitUntilAsync(due, TestContext.Current.CancellationToken);
            Assert.True(clock.Ticks >= due);
        }
    }
}
