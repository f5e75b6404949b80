using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Recording;

/// <summary>Time that goes on evenly under a wall clock that somebody sets.</summary>
internal sealed class SetWallClock(DateTimeOffset start) : TimeProvider
{
    private readonly FakeTimeProvider _steady = new(start);

    /// <summary>By how much it has been set.</summary>
    public TimeSpan Set { get; set; }

    public override long TimestampFrequency => _steady.TimestampFrequency;

    public void Advance(TimeSpan by) => _steady.Advance(by);

    public override DateTimeOffset GetUtcNow() => _steady.GetUtcNow() + Set;

    public override long GetTimestamp() => _steady.GetTimestamp();

    public override ITimer CreateTimer(
        TimerCallback callback,
        object? state,
        TimeSpan dueTime,
        TimeSpan period
    ) => _steady.CreateTimer(callback, state, dueTime, period);
}
