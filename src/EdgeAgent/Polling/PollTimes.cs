namespace Dancerwatch.EdgeAgent.Polling;

/// <summary>The course of one poll, monotonic ticks of 100 ns.</summary>
/// <param name="Due">Its deadline.</param>
/// <param name="Start">When it began; never before its deadline.</param>
/// <param name="Reading">The time its readings bear.</param>
/// <param name="End">When the last answer was there, or it was given up.</param>
public readonly record struct PollTimes(long Due, long Start, long Reading, long End)
{
    public TimeSpan Lateness => TimeSpan.FromTicks(Start - Due);

    public TimeSpan Duration => TimeSpan.FromTicks(End - Start);
}
