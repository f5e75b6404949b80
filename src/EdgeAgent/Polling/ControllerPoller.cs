using System.Runtime.CompilerServices;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Waiting;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Polling;

/// <summary>
/// Polls one controller at absolute deadlines and hands each snapshot to the sinks, in their order. Every poll yields a
/// snapshot, failed ones too. A poll that overruns makes the deadlines it covers missed polls: counted, never caught up.
/// Readers belong to the caller.
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
    private readonly MissedPolls _missed = new(controller, logger);

    private volatile Round _next = new(reader, new TagSnapshot(reader.Tags.Count), sinks);
    private bool _readerFails;
    private long _lastRound = clock.Ticks;
    private volatile bool _hasComeRound;
    private volatile bool _reads;

    /// <summary>A round that takes longer hangs. By default more than the longest timeout and the longest period together.</summary>
    public TimeSpan LongestRound { get; init; } = TimeSpan.FromSeconds(15);

    /// <summary>Asked before each poll: one that may not be is passed over, and hands on nothing.</summary>
    public Func<bool> MayPoll { get; init; } = static () => true;

    /// <summary>Whether the poll under way takes longer than any may: a driver or a sink hangs.</summary>
    public bool IsStuck => clock.Ticks - Interlocked.Read(ref _lastRound) > LongestRound.Ticks;

    /// <summary>Whether a poll has been done with, well or not.</summary>
    public bool HasComeRound => _hasComeRound;

    /// <summary>Whether the last poll brought anything.</summary>
    public bool Reads => _reads;

    /// <summary>From the next poll on, hands snapshots to these.</summary>
    public void HandTo(IReadOnlyList<ISnapshotSink> others) =>
        _next = new Round(_next.Reader, _next.Snapshot, others);

    /// <summary>From the next poll on, reads with another reader, at the same deadlines, and hands its snapshots to these.</summary>
    /// <returns>Done once the reader before is left alone: with the next poll. Never, where there is none.</returns>
    public Task ReadWith(ITagReader another, IReadOnlyList<ISnapshotSink> others)
    {
        Round before = _next;
        _next = new Round(another, new TagSnapshot(another.Tags.Count), others);
        return before.IsLeft.Task;
    }

    /// <summary>Polls until <paramref name="cancellation"/>; then returns.</summary>
    public async Task RunAsync(CancellationToken cancellation)
    {
        using DeadlineTimer timer = new(clock);
        PollSchedule schedule = new(clock.Ticks, period.Ticks, timer.Phase?.Ticks);
        Interlocked.Exchange(ref _lastRound, schedule.Due);
        Round round = _next;
        observer.PollingBegins(controller);
        try
        {
            while (true)
            {
                await timer.WaitUntilAsync(schedule.Due, cancellation);
                if (round != _next)
                    round = round.LeaveFor(_next);
                if (MayPoll())
                {
                    long start = clock.Ticks;
                    await ReadAsync(round, cancellation);
                    Report(
                        round.Snapshot,
                        new PollTimes(schedule.Due, start, round.Snapshot.Ticks, clock.Ticks)
                    );
                    Deliver(round);
                }

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

    [AsyncMethodBuilder(typeof(ReusingMethodBuilder))]
    private async ValueTask ReadAsync(Round round, CancellationToken cancellation)
    {
        try
        {
            await round.Reader.ReadAsync(round.Snapshot, cancellation);
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
            round.Snapshot.Fail(clock.Ticks, TagStatus.NotRead);
            if (!_readerFails)
                logger.ReaderFailed(failure, controller);
            _readerFails = true;
        }
    }

    private void Report(TagSnapshot snapshot, in PollTimes times)
    {
        int errors = 0;
        foreach (TagStatus status in snapshot.Statuses)
        {
            if (status != TagStatus.Good)
                errors++;
        }
        PollOutcome outcome =
            errors == 0 ? PollOutcome.Complete
            : errors < snapshot.Statuses.Length ? PollOutcome.Partial
            : PollOutcome.Failed;
        _reads = outcome != PollOutcome.Failed;
        observer.PollCompleted(controller, times, outcome);
        if (errors > 0)
            observer.ReadErrors(controller, errors);
    }

    private void Deliver(Round round)
    {
        for (int i = 0; i < round.Sinks.Count; i++)
        {
            try
            {
                round.Sinks[i].Receive(round.Snapshot);
                round.Fails[i] = false;
            }
#pragma warning disable CA1031 // One machine's watch that throws must not take the others' with it.
            catch (Exception failure)
#pragma warning restore CA1031
            {
                observer.SinkFailed(controller);
                if (!round.Fails[i])
                    logger.SinkFailed(failure, round.Sinks[i].GetType().Name, controller);
                round.Fails[i] = true;
            }
        }
    }

    /// <summary>What a poll reads with, into, and for whom.</summary>
    private sealed class Round(ITagReader reader, TagSnapshot snapshot, IReadOnlyList<ISnapshotSink> sinks)
    {
        public ITagReader Reader { get; } = reader;

        public TagSnapshot Snapshot { get; } = snapshot;

        public IReadOnlyList<ISnapshotSink> Sinks { get; } = sinks;

        /// <summary>Those that threw on the poll before: each is logged when it begins to fail, not on every poll.</summary>
        public bool[] Fails { get; } = new bool[sinks.Count];

        /// <summary>Completed once no poll reads with it any more.</summary>
        public TaskCompletionSource IsLeft { get; } = new(TaskCreationOptions.RunContinuationsAsynchronously);

        public Round LeaveFor(Round next)
        {
            IsLeft.TrySetResult();
            return next;
        }
    }
}
