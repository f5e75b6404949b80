namespace Dancerwatch.EndToEnd.Tests.Survey;

/// <summary>
/// Time that leaps: who waits for the next poll has it at once, and the machine has gone on by as much. Longer waits are the
/// network's timeouts; these never come.
/// </summary>
internal sealed class SteppedTime : TimeProvider
{
    private static readonly TimeSpan s_longestPoll = TimeSpan.FromMilliseconds(50);
    private static readonly TimeSpan s_step = TimeSpan.FromMilliseconds(5);

    private long _ticks;

    /// <summary>Called with the time, s, each 5 ms of it.</summary>
    public Action<double> Passed { get; set; } = static _ => { };

    public override long TimestampFrequency => TimeSpan.TicksPerSecond;

    public override long GetTimestamp() => _ticks;

    public override DateTimeOffset GetUtcNow() =>
        new DateTimeOffset(2026, 11, 25, 8, 0, 0, TimeSpan.Zero).AddTicks(_ticks);

    public void Pass(TimeSpan time)
    {
        for (TimeSpan left = time; left > TimeSpan.Zero; left -= s_step)
        {
            _ticks += Math.Min(left.Ticks, s_step.Ticks);
            Passed((double)_ticks / TimeSpan.TicksPerSecond);
        }
    }

    public override ITimer CreateTimer(
        TimerCallback callback,
        object? state,
        TimeSpan dueTime,
        TimeSpan period
    )
    {
        LeapingTimer timer = new(this, callback, state);
        timer.Change(dueTime, period);
        return timer;
    }

    private sealed class LeapingTimer(SteppedTime time, TimerCallback callback, object? state) : ITimer
    {
        public bool Change(TimeSpan dueTime, TimeSpan period)
        {
            if (dueTime > TimeSpan.Zero && dueTime <= s_longestPoll)
            {
                time.Pass(dueTime);
                callback(state);
            }
            return true;
        }

        public void Dispose() { }

        public ValueTask DisposeAsync() => ValueTask.CompletedTask;
    }
}
