namespace Dancerwatch.EdgeAgent.Waiting;

/// <summary>
/// How much too early to end a sleep, so as to be awake in time: an idle processor takes its time to come back, and what it
/// takes is learned from how late sleeps end. The rest until the deadline is waited for awake. Bought, on a virtual
/// computer where such a sleep ends 0.1 to 0.2 ms late: a start 0.07 instead of 0.17 ms after its deadline (p50, 16 controllers,
/// bench/Polling). All in nanoseconds.
/// </summary>
internal sealed class SleepLead
{
    /// <summary>What takes longer to come back is not the processor.</summary>
    private const long Most = 250_000;

    /// <summary>So near a deadline no sleep is begun: it would take as long itself.</summary>
    private const long Near = 150_000;

    /// <summary>At most 1 in so many nanoseconds is spent awake ahead of deadlines.</summary>
    private const long Share = 32;

    /// <summary>The lead falls by this with each sleep that it was enough for, and climbs where one of fifty was later.</summary>
    private const long Fall = 200;
    private const long Climb = 49 * Fall;

    private long _learned = Most / 2;
    private long _awakeFor = long.MinValue;
    private long _freeFrom = long.MinValue;

    /// <summary>When to end the sleep before a deadline; not after <paramref name="now"/>: none is to be begun.</summary>
    public long WakeFor(long due, long now)
    {
        if (due - now <= Near || due == _awakeFor)
            return now;
        long wake = due - _learned;
        if (wake < _freeFrom)
            return due;
        if (wake <= now)
            StayAwake(due, now);
        return wake;
    }

    /// <summary>A sleep has ended that was to end at <paramref name="wanted"/>, for a deadline.</summary>
    public void Learn(long wanted, long due, long now)
    {
        _learned = Math.Clamp(_learned + (now - wanted > _learned ? Climb : -Fall), 0, Most);
        StayAwake(due, now);
    }

    private void StayAwake(long due, long now)
    {
        _awakeFor = due;
        _freeFrom = Math.Max(_freeFrom, now + (Share * (due - now)));
    }
}
