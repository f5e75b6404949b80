using System.Runtime.CompilerServices;
using System.Threading.Tasks.Sources;
using Dancerwatch.EdgeAgent.Waiting;

namespace Dancerwatch.EdgeAgent.Polling;

/// <summary>
/// Waits until a monotonic instant, again and again, without allocating. Never wakes early. On the system's clock it is the
/// poll thread that waits, to microseconds, and the caller goes on there; else a timer of the time provider's, which counts
/// whole milliseconds, and the runtime's own count them in steps of the system's tick, often 4 ms. One wait at a time.
/// </summary>
internal sealed class DeadlineTimer : IWaiter, IValueTaskSource, IDisposable
{
    private readonly MonotonicClock _clock;
    private readonly PollThread? _thread;
    private readonly ITimer? _timer;
    private ManualResetValueTaskSourceCore<bool> _source;
    private int _armed;

    public DeadlineTimer(MonotonicClock clock)
    {
        _clock = clock;
        _thread = clock.Time == TimeProvider.System ? PollThread.Shared : null;
        Phase = _thread?.TakePhase(this);
        _timer = _thread is not null
            ? null
            : clock.Time.CreateTimer(
                static state => ((DeadlineTimer)state!).Complete(cancelled: false),
                this,
                Timeout.InfiniteTimeSpan,
                Timeout.InfiniteTimeSpan
            );
    }

    /// <summary>How far from multiples of its period it waits best, so as not to meet others; null where any is as good.</summary>
    public TimeSpan? Phase { get; }

    /// <exception cref="OperationCanceledException"><paramref name="cancellation"/> was cancelled.</exception>
    [AsyncMethodBuilder(typeof(ReusingMethodBuilder))]
    public async ValueTask WaitUntilAsync(long dueTicks, CancellationToken cancellation)
    {
        cancellation.ThrowIfCancellationRequested();
        for (long left = dueTicks - _clock.Ticks; left > 0; left = dueTicks - _clock.Ticks)
        {
            _source.Reset();
            Volatile.Write(ref _armed, 1);
            using CancellationTokenRegistration registration = cancellation.UnsafeRegister(
                static state => ((DeadlineTimer)state!).Complete(cancelled: true),
                this
            );
            if (_thread is not null)
                _thread.WakeAt(_clock.Timestamp(dueTicks), this);
            else
                _timer!.Change(WholeMilliseconds(left), Timeout.InfiniteTimeSpan);
            await new ValueTask(this, _source.Version);
            cancellation.ThrowIfCancellationRequested();
        }
    }

    public void Dispose()
    {
        _timer?.Dispose();
        _thread?.LeavePhase(this);
    }

    void IWaiter.Wake() => Complete(cancelled: false);

    // The system's timer cuts fractions of a millisecond off; rounding up saves a second, shorter wait.
    private static TimeSpan WholeMilliseconds(long ticks) =>
        TimeSpan.FromTicks(
            (ticks + TimeSpan.TicksPerMillisecond - 1)
                / TimeSpan.TicksPerMillisecond
                * TimeSpan.TicksPerMillisecond
        );

    // Timer and cancellation may race: the first one ends the wait. A timer that fires into a later wait only wakes it
    // early, and the loop above waits on.
    private void Complete(bool cancelled)
    {
        if (Interlocked.Exchange(ref _armed, 0) == 1)
            _source.SetResult(cancelled);
    }

    void IValueTaskSource.GetResult(short token) => _source.GetResult(token);

    ValueTaskSourceStatus IValueTaskSource.GetStatus(short token) => _source.GetStatus(token);

    void IValueTaskSource.OnCompleted(
        Action<object?> continuation,
        object? state,
        short token,
        ValueTaskSourceOnCompletedFlags flags
    ) => _source.OnCompleted(continuation, state, token, flags);
}
