using Dancerwatch.EdgeAgent.Polling;

namespace Dancerwatch.Polling;

/// <summary>Keeps how late polls start and what they bring.</summary>
internal sealed class PollMeter(int polls) : IPollObserver
{
    private long _missed;
    private long _failed;

    public Percentiles Lateness { get; } = new(polls);

    public Percentiles Duration { get; } = new(polls);

    public long Missed => Interlocked.Read(ref _missed);

    public long Failed => Interlocked.Read(ref _failed);

    /// <summary>Forgets all: what went before was warming up.</summary>
    public void Clear()
    {
        Lateness.Clear();
        Duration.Clear();
        Interlocked.Exchange(ref _missed, 0);
        Interlocked.Exchange(ref _failed, 0);
    }

    public void PollingBegins(string controller) { }

    public void PollCompleted(string controller, in PollTimes times, PollOutcome outcome)
    {
        Lateness.Add(times.Lateness.Ticks);
        Duration.Add(times.Duration.Ticks);
        if (outcome != PollOutcome.Complete)
            Interlocked.Increment(ref _failed);
    }

    public void PollsMissed(string controller, long count) => Interlocked.Add(ref _missed, count);

    public void ReadErrors(string controller, int count) { }

    public void SinkFailed(string controller) { }
}
