using System.Runtime.CompilerServices;
using System.Threading.Tasks.Sources;

namespace Dancerwatch.EdgeAgent.Waiting;

/// <summary>An asynchronous method that waits, as the source of its task. Kept for another once the task was awaited.</summary>
internal abstract class SuspendedMethod<TResult> : IValueTaskSource, IValueTaskSource<TResult>
{
    private ManualResetValueTaskSourceCore<TResult> _source;

    public short Version => _source.Version;

    public void SetResult(TResult result) => _source.SetResult(result);

    public void SetException(Exception failure) => _source.SetException(failure);

    public TResult GetResult(short token)
    {
        // A token of a wait long over is refused, and gives nothing back.
        bool isOurs = token == _source.Version;
        try
        {
            return _source.GetResult(token);
        }
        finally
        {
            if (isOurs)
            {
                _source.Reset();
                Keep();
            }
        }
    }

    /// <summary>Keeps it for another wait.</summary>
    protected abstract void Keep();

    void IValueTaskSource.GetResult(short token) => GetResult(token);

    ValueTaskSourceStatus IValueTaskSource.GetStatus(short token) => _source.GetStatus(token);

    ValueTaskSourceStatus IValueTaskSource<TResult>.GetStatus(short token) => _source.GetStatus(token);

    void IValueTaskSource.OnCompleted(
        Action<object?> continuation,
        object? state,
        short token,
        ValueTaskSourceOnCompletedFlags flags
    ) => _source.OnCompleted(continuation, state, token, flags);

    void IValueTaskSource<TResult>.OnCompleted(
        Action<object?> continuation,
        object? state,
        short token,
        ValueTaskSourceOnCompletedFlags flags
    ) => _source.OnCompleted(continuation, state, token, flags);
}

/// <summary>Those of one method: kept are as many as ever waited at once.</summary>
internal sealed class SuspendedMethod<TResult, TMachine> : SuspendedMethod<TResult>
    where TMachine : IAsyncStateMachine
{
    private static readonly Lock s_gate = new();
    private static readonly Stack<SuspendedMethod<TResult, TMachine>> s_kept = new();

    private SuspendedMethod() => GoOn = MoveNext;

    /// <summary>What the method knows while it waits.</summary>
    public TMachine Machine = default!;

    /// <summary>What the one who called it was about; null where that is not to be handed on.</summary>
    public ExecutionContext? Context { get; set; }

    /// <summary>Lets the method go on.</summary>
    public Action GoOn { get; }

    public static SuspendedMethod<TResult, TMachine> Take()
    {
        lock (s_gate)
        {
            if (s_kept.TryPop(out SuspendedMethod<TResult, TMachine>? kept))
                return kept;
        }
        return new SuspendedMethod<TResult, TMachine>();
    }

    protected override void Keep()
    {
        Machine = default!;
        Context = null;
        lock (s_gate)
            s_kept.Push(this);
    }

    private void MoveNext()
    {
        if (Context is null)
            Machine.MoveNext();
        else
            ExecutionContext.Run(
                Context,
                static self => ((SuspendedMethod<TResult, TMachine>)self!).Machine.MoveNext(),
                this
            );
    }
}
