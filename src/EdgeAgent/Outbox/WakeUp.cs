namespace Dancerwatch.EdgeAgent.Outbox;

/// <summary>Wakes whoever waits, or the next to wait. Set twice before anybody looks, it wakes once.</summary>
internal sealed class WakeUp : IDisposable
{
    private readonly Lock _gate = new();
    private readonly SemaphoreSlim _set = new(initialCount: 0, maxCount: 1);
    private bool _isOver;

    /// <summary>Once it is disposed, nothing happens: a timer that is disposed may still be calling.</summary>
    public void Set()
    {
        lock (_gate)
        {
            if (!_isOver && _set.CurrentCount == 0)
                _set.Release();
        }
    }

    /// <exception cref="OperationCanceledException"><paramref name="cancellation"/> was cancelled.</exception>
    public void Wait(CancellationToken cancellation) => _set.Wait(cancellation);

    /// <inheritdoc cref="Wait"/>
    public Task WaitAsync(CancellationToken cancellation) => _set.WaitAsync(cancellation);

    /// <summary>Waits no longer than so.</summary>
    /// <inheritdoc cref="Wait"/>
    public Task WaitAsync(TimeSpan atMost, CancellationToken cancellation) =>
        _set.WaitAsync(atMost, cancellation);

    public void Dispose()
    {
        lock (_gate)
            _isOver = true;
        _set.Dispose();
    }
}
