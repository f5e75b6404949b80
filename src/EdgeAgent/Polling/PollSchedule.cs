namespace Dancerwatch.EdgeAgent.Polling;

/// <summary>
/// Absolute deadlines: the n-th is <c>start + n * period</c> whatever the polls before it took, so that lateness never
/// adds up to drift. All times in ticks of 100 ns.
/// </summary>
internal sealed class PollSchedule(long startTicks, long periodTicks)
{
    /// <summary>The deadline to wait for.</summary>
    public long Due { get; private set; } = startTicks;

    /// <summary>Moves to the first deadline not yet passed at <paramref name="now"/>.</summary>
    /// <returns>How many deadlines were passed over: the polls missed.</returns>
    public long Advance(long now)
    {
        long late = now - Due;
        long steps = late <= 0 ? 1 : ((late - 1) / periodTicks) + 1;
        Due += steps * periodTicks;
        return steps - 1;
    }
}
