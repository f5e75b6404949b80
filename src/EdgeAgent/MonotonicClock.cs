namespace Dancerwatch.EdgeAgent;

/// <summary>
/// The one place where monotonic time and wall clock meet. Windows, timeouts and readings use <see cref="Ticks"/>; only
/// what leaves the box is stamped, by <see cref="ToWallClock"/>, so that a stepped wall clock moves stamps and nothing else.
/// </summary>
public sealed class MonotonicClock(TimeProvider time)
{
    /// <summary>The wall clock may be so far off before it is followed: asking two clocks one after the other is never exact.</summary>
    private static readonly TimeSpan s_tolerance = TimeSpan.FromMilliseconds(5);

    private readonly long _zero = time.GetTimestamp();
    private long _wallClockOfZero = long.MinValue;

    public TimeProvider Time { get; } = time;

    /// <summary>Monotonic time since this clock was made, ticks of 100 ns.</summary>
    public long Ticks => Time.GetElapsedTime(_zero).Ticks;

    /// <summary>The timestamp that <see cref="Time"/> has at a monotonic instant.</summary>
    public long Timestamp(long ticks)
    {
        (long seconds, long rest) = Math.DivRem(ticks, TimeSpan.TicksPerSecond);
        return _zero
            + (seconds * Time.TimestampFrequency)
            + (rest * Time.TimestampFrequency / TimeSpan.TicksPerSecond);
    }

    /// <summary>
    /// Wall-clock time (UTC) of a monotonic instant, by the wall clock of now. The same instant gives the same time until
    /// the wall clock is set, so that an event and its reading in a recording bear the same stamp.
    /// </summary>
    public DateTimeOffset ToWallClock(long ticks)
    {
        long now = Time.GetUtcNow().Ticks - Ticks;
        long known = Volatile.Read(ref _wallClockOfZero);
        // Apart by more than the tolerance, or never asked before.
        if (now - s_tolerance.Ticks > known || now + s_tolerance.Ticks < known)
            Volatile.Write(ref _wallClockOfZero, known = now);
        return new DateTimeOffset(known + ticks, TimeSpan.Zero);
    }
}
