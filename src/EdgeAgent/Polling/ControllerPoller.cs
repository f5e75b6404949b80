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

    // Sinks that threw on the poll before: each is logged when it begins to fail, not on every poll.
    private readonly bool[] _sinkFails = new bool[sinks.Count];
    private bool _readerFails;

    /// <summary>Polls until <paramref name="cancellation"/>; then returns.</summary>
    public async Task RunAsync(CancellationToken cancellation)
    {
        PollSchedule schedule = new(clock.Ticks, period.Ticks);
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
        for (int i = 0; i < sinks.Count; i++)
        {
            try
            {
                sinks[i].Receive(_snapshot);
                _sinkFails[i] = false;
            }
#pragma warning disable CA1031 // One machine's watch that throws must not take the others' with it.
            catch (Exception failure)
#pragma warning restore CA1031
            {
                observer.SinkFailed(controller);
                if (!_sinkFails[i])
                    logger.SinkFailed(failure, sinks[i].GetType().Name, controller);
                _sinkFails[i] = true;
            }
        }
    }
}
