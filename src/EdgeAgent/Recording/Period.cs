namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>A stretch of wall-clock time: from its first moment on, up to and without its last.</summary>
public readonly record struct Period(DateTimeOffset From, DateTimeOffset To)
{
    public static readonly Period Ever = new(DateTimeOffset.MinValue, DateTimeOffset.MaxValue);

    internal bool Touches(DateOnly utcDay) =>
        DateOnly.FromDateTime(From.UtcDateTime) <= utcDay && utcDay <= DateOnly.FromDateTime(To.UtcDateTime);
}
