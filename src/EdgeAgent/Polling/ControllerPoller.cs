using Dancerwatch.EdgeAgent.Controllers;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Polling;

/// <summary>
/// Polls one controller at absolute deadlines and hands each snapshot to the sinks, in their order. Every poll yields a
/// snapshot, failed ones too. A poll that overruns makes the deadlines it covers missed polls: counted, never caught up.
/// The reader belongs to the caller.
/// </summary>
public sealed class ControllerPoller(
    string controller,
    ITagReader reader,
    TimeSpan period,
    MonotonicClock clock,
    IReadOnlyList<ISnapshotSink> sinks,
    IPollObserver observer,
    ILogger<ControllerPoller> logger
)
{
    private readonly TagSnapshot _snapshot = new(reader.Tags.Count);
    private readonly MissedPolls _missed = new(controller, logger);

    private volatile SinkSet _sinks = new(sinks);
    private bool _readerFails;
    private long _lastRound = clock.Ticks;
    private volatile bool _hasComeRound;
    private volatile bool _reads;

    /// <summary>A round that takes longer hangs. By default more than the longest timeout and the longest period together.</summary>
    public TimeSpan LongestRound { get; init; } = TimeSpan.FromSeconds(15);

    /// <summary>Whether the poll under way takes longer than any may: a driver or a sink hangs.</summary>
    public bool IsStuck => clock.Ticks - Interlocked.Read(ref _lastRound) > LongestRound.Ticks;

    /// <summary>Whether a poll has been done with, well or not.</summary>
    public bool HasComeRound => _hasComeRound;

    /// <summary>Whether the last poll brought anything.</summary>
    public bool Reads => _reads;

    /// <summary>From the next poll on, hands snapshots to these.</summary>
    public void HandTo(IReadOnlyList<ISnapshotSink> others) => _sinks = new SinkSet(others);

    /// <summary>Polls until <paramref name="cancellation"/>; then returns.</summary>
    public async Task RunAsync(CancellationToken cancellation)
    {
        PollSchedule schedule = new(clock.Ticks, period.Ticks);
        Interlocked.Exchange(ref _lastRound, schedule.Due);
        using DeadlineTimer timer = new(clock);
        try
        {
            while (true)
            {
                await timer.WaitUntilAsync(schedule.Due, cancellation);
                long start = clock.Ticks;
                await ReadAsync(cancellation);
                Report(start - schedule.Due, clock.Ticks - start);
                Deliver();

                long now = clock.Ticks;
                long missed = schedule.Advance(now);
                if (missed > 0)
                    observer.PollsMissed(controller, missed);
                _missed.Count(missed, now);
                Interlocked.Exchange(ref _lastRound, now);
                _hasComeRound = true;
            }
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested) { }
    }

    private async ValueTask ReadAsync(CancellationToken cancellation)
    {
        try
        {
            await reader.ReadAsync(_snapshot, cancellation);
            _readerFails = false;
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested)
        {
            throw;
        }
#pragma warning disable CA1031 // A driver that breaks its promise not to throw must not end the polling.
        catch (Exception failure)
#pragma warning restore CA1031
        {
            _snapshot.Fail(clock.Ticks, TagStatus.NotRead);
            if (!_readerFails)
                logger.ReaderFailed(failure, controller);
            _readerFails = true;
        }
    }

    private void Report(long latenessTicks, long durationTicks)
    {
        int errors = 0;
        foreach (TagStatus status in _snapshot.Statuses)
        {
            if (status != TagStatus.Good)
                errors++;
        }
        PollOutcome outcome =
            errors == 0 ? PollOutcome.Complete
            : errors < _snapshot.Statuses.Length ? PollOutcome.Partial
            : PollOutcome.Failed;
        _reads = outcome != PollOutcome.Failed;
        observer.PollCompleted(
            controller,
            TimeSpan.FromTicks(latenessTicks),
            TimeSpan.FromTicks(durationTicks),
            outcome
        );
        if (errors > 0)
            observer.ReadErrors(controller, errors);
    }

    private void Deliver()
    {
        SinkSet set = _sinks;
        for (int i = 0; i < set.Sinks.Count; i++)
        {
            try
            {
                set.Sinks[i].Receive(_snapshot);
                set.Fails[i] = false;
            }
#pragma warning disable CA1031 // One machine's watch that throws must not take the others' with it.
            catch (Exception failure)
#pragma warning restore CA1031
            {
                observer.SinkFailed(controller);
                if (!set.Fails[i])
                    logger.SinkFailed(failure, set.Sinks[i].GetType().Name, controller);
                set.Fails[i] = true;
            }
        }
    }

    private sealed class SinkSet(IReadOnlyList<ISnapshotSink> sinks)
    {
        public IReadOnlyList<ISnapshotSink> Sinks { get; } = sinks;

        /// <summary>Those that threw on the poll before: each is logged when it begins to fail, not on every poll.</summary>
        public bool[] Fails { get; } = new bool[sinks.Count];
    }
}
