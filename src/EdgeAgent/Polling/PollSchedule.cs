namespace Dancerwatch.EdgeAgent.Polling;

/// <summary>
/// Absolute deadlines: the first at once, those after it at multiples of the period and a phase, whatever the polls before
/// took, so that lateness never adds up to drift. All times in ticks of 100 ns.
/// </summary>
internal sealed class PollSchedule
{
    private readonly long _period;
    private long _next;

    /// <param name="phase">Ticks after the multiples of the period; by default what <paramref name="start"/> has.</param>
    public PollSchedule(long start, long period, long? phase = null)
    {
        _period = period;
        Due = start;
        // Half a period at least after the first, one and a half at most.
        long earliest = start + (period / 2);
        long past = (earliest - (phase ?? start)) % period;
        _next = past <= 0 ? earliest - past : earliest - past + period;
    }

    /// <summary>The deadline to wait for.</summary>
    public long Due { get; private set; }

    /// <summary>Moves to the first deadline not yet passed at <paramref name="now"/>.</summary>
    /// <returns>How many deadlines were passed over: the polls missed.</returns>
    public long Advance(long now)
    {
        long late = now - _next;
        long missed = late <= 0 ? 0 : ((late - 1) / _period) + 1;
        Due = _next + (missed * _period);
        _next = Due + _period;
        return missed;
    }
}
