using System.Net.Sockets;
using System.Runtime.CompilerServices;
using System.Threading.Tasks.Sources;

namespace Dancerwatch.EdgeAgent.Waiting;

/// <summary>
/// Waits until a socket has something new, again and again, without allocating: bytes came, bytes may be sent, a
/// connection stands, or it is over. Once it is over, it always has. One wait at a time.
/// </summary>
internal sealed class Readiness(SafeSocketHandle socket)
    : IWaiter,
        IValueTaskSource<bool>,
        IThreadPoolWorkItem
{
    private const int Idle = 0;
    private const int Waited = 1;
    private const int Ready = 2;

    private ManualResetValueTaskSourceCore<bool> _source;
    private int _state;

    /// <summary>Whether who waits goes on on one of the pool's threads, so as not to hold up the one that wakes.</summary>
    private bool _onPool;
    private bool _isGivenUp;

    public SafeSocketHandle Socket { get; } = socket;

    /// <summary>Whether the other side has closed, or the connection failed.</summary>
    public bool IsOver { get; set; }

    /// <summary>Waits; what has come by then is to be looked for anew.</summary>
    /// <exception cref="OperationCanceledException"><paramref name="cancellation"/> was cancelled.</exception>
    [AsyncMethodBuilder(typeof(ReusingMethodBuilder))]
    public async ValueTask WaitAsync(CancellationToken cancellation)
    {
        cancellation.ThrowIfCancellationRequested();
        if (IsOver || Interlocked.CompareExchange(ref _state, Idle, Ready) == Ready)
            return;
        _source.Reset();
        _isGivenUp = false;
        _onPool = !PollThread.IsCurrent;
        if (Interlocked.CompareExchange(ref _state, Waited, Idle) == Ready)
        {
            Interlocked.Exchange(ref _state, Idle);
            return;
        }
        bool isReady;
        using (cancellation.UnsafeRegister(static readiness => ((Readiness)readiness!).GiveUp(), this))
            isReady = await new ValueTask<bool>(this, _source.Version);
        if (!isReady)
            cancellation.ThrowIfCancellationRequested();
        Interlocked.Exchange(ref _state, Idle);
    }

    /// <summary>There is, or may be, more: the next wait ends at once.</summary>
    public void Wake()
    {
        if (Interlocked.Exchange(ref _state, Ready) == Waited)
            End();
    }

    void IThreadPoolWorkItem.Execute() => _source.SetResult(!_isGivenUp);

    private void GiveUp()
    {
        if (Interlocked.CompareExchange(ref _state, Idle, Waited) != Waited)
            return;
        _isGivenUp = true;
        End();
    }

    private void End()
    {
        if (_onPool)
            ThreadPool.UnsafeQueueUserWorkItem(this, preferLocal: false);
        else
            _source.SetResult(!_isGivenUp);
    }

    bool IValueTaskSource<bool>.GetResult(short token) => _source.GetResult(token);

    ValueTaskSourceStatus IValueTaskSource<bool>.GetStatus(short token) => _source.GetStatus(token);

    void IValueTaskSource<bool>.OnCompleted(
        Action<object?> continuation,
        object? state,
        short token,
        ValueTaskSourceOnCompletedFlags flags
    ) => _source.OnCompleted(continuation, state, token, flags);
}
