namespace Dancerwatch.EdgeAgent;

/// <summary>
/// The one place where monotonic time and wall clock meet. Windows, timeouts and readings use <see cref="Ticks"/>; only
/// what leaves the box is stamped, by <see cref="ToWallClock"/>, so that a stepped wall clock moves stamps and nothing else.
/// </summary>
public sealed class MonotonicClock(TimeProvider time)
{
    private readonly long _zero = time.GetTimestamp();

    public TimeProvider Time { get; } = time;

    /// <summary>Monotonic time since this clock was made, ticks of 100 ns.</summary>
    public long Ticks => Time.GetElapsedTime(_zero).Ticks;

    /// <summary>Wall-clock time (UTC) of a monotonic instant, by the wall clock of now.</summary>
    public DateTimeOffset ToWallClock(long ticks) => Time.GetUtcNow() - TimeSpan.FromTicks(Ticks - ticks);
}
