using System.Net.Sockets;
using Dancerwatch.EdgeAgent.Reconnect;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Reconnect;

public sealed class ReconnectorTests
{
    private static readonly TimeSpan s_step = TimeSpan.FromMilliseconds(5);

    private readonly FakeTimeProvider _time = new();
    private readonly MonotonicClock _clock;
    private readonly List<TimeSpan> _begun = [];
    private readonly List<TimeSpan> _pauses = [];
    private int _failures = int.MaxValue;
    private TimeSpan _attemptTakes = TimeSpan.Zero;

    public ReconnectorTests() => _clock = new MonotonicClock(_time);

    [Fact]
    public async Task The_first_attempt_is_made_at_once_and_its_success_ends_the_series()
    {
        _failures = 0;

        ConnectSeries<string> series = Reconnector().Start(TestContext.Current.CancellationToken);

        Assert.Equal("connected", await series.Connected);
        Assert.True(series.FirstAttempt.IsCompletedSuccessfully);
        Assert.Equal([TimeSpan.Zero], _begun);
        Assert.Empty(_pauses);
    }

    [Theory]
    [InlineData(0)] // refused at once
    [InlineData(500)] // swallowed, until the timeout
    public async Task However_long_a_controller_is_away_attempts_begin_at_most_800_ms_apart(int attemptTakes)
    {
        _attemptTakes = TimeSpan.FromMilliseconds(attemptTakes);
        ConnectSeries<string> series = Reconnector().Start(TestContext.Current.CancellationToken);

        await AdvanceUntilAsync(() => _begun.Count == 200);
        Assert.True(series.FirstAttempt.IsCompletedSuccessfully);
        Assert.False(series.Connected.IsCompleted);
        _failures = 0;
        await AdvanceUntilAsync(() => series.Connected.IsCompleted);

        Assert.Equal("connected", await series.Connected);
        TimeSpan[] gaps = [.. _begun.Skip(1).Zip(_begun, (later, earlier) => later - earlier)];
        Assert.All(gaps, gap => Assert.True(gap <= TimeSpan.FromMilliseconds(800) + s_step, $"{gap}"));
        // Jitter: of the gaps at the maximum no more than a few are alike.
        Assert.True(gaps.Skip(10).Distinct().Count() > 10);
    }

    [Fact]
    public async Task Cancellation_ends_the_series()
    {
        using CancellationTokenSource stop = new();
        ConnectSeries<string> series = Reconnector().Start(stop.Token);
        await AdvanceUntilAsync(() => _begun.Count == 3);

        await stop.CancelAsync();

        await Assert.ThrowsAnyAsync<OperationCanceledException>(() => series.Connected);
        int attempts = _begun.Count;
        _time.Advance(TimeSpan.FromMinutes(1));
        Assert.Equal(attempts, _begun.Count);
    }

    private Reconnector<string> Reconnector() =>
        new(
            ConnectAsync,
            (failure, pause) =>
            {
                Assert.IsType<SocketException>(failure);
                _pauses.Add(pause);
            },
            new ReconnectBackoff(TimeSpan.FromMilliseconds(800)),
            _time
        );

    private async ValueTask<string> ConnectAsync(CancellationToken cancellation)
    {
        _begun.Add(TimeSpan.FromTicks(_clock.Ticks));
        if (_attemptTakes > TimeSpan.Zero)
            await Task.Delay(_attemptTakes, _time, cancellation);
        return _failures-- > 0 ? throw new SocketException((int)SocketError.ConnectionRefused) : "connected";
    }

    // What the series does between two timers runs elsewhere; each step gives it the time to set the next.
    private async Task AdvanceUntilAsync(Func<bool> happened)
    {
        for (int step = 0; !happened(); step++)
        {
            Assert.True(step < 100_000, "the series stands still");
            _time.Advance(s_step);
            await Task.Yield();
        }
    }
}
