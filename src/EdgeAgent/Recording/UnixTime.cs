namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>Wall-clock time as recordings hold it: µs since 1970-01-01 UTC, rounded down.</summary>
public static class UnixTime
{
    private const long MicrosecondsPerDay = 86_400_000_000;

    public static long Microseconds(DateTimeOffset time) =>
        (time.UtcTicks - DateTimeOffset.UnixEpoch.UtcTicks) / TimeSpan.TicksPerMicrosecond;

    public static DateTimeOffset Of(long microseconds) =>
        DateTimeOffset.UnixEpoch.AddTicks(microseconds * TimeSpan.TicksPerMicrosecond);

    /// <summary>The UTC day of a time, its first microsecond and that of the next day.</summary>
    internal static (DateOnly Day, long From, long To) DayOf(long microseconds)
    {
        DateOnly day = DateOnly.FromDateTime(Of(microseconds).UtcDateTime);
        long from = Microseconds(new DateTimeOffset(day.ToDateTime(TimeOnly.MinValue), TimeSpan.Zero));
        return (day, from, from + MicrosecondsPerDay);
    }
}
