namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>
/// Lets requests for births through, one at once and then at most one in <see cref="Pause"/>. One that comes too early waits,
/// and answers all that come meanwhile: no host is left without, and none can keep us busy with births. Any thread.
/// </summary>
internal sealed class RebirthGate(TimeProvider time)
{
    /// <summary>Births of 64 machines are a third of a megabyte (docs/sparkplug.md); that once in so long disturbs nobody.</summary>
    public static readonly TimeSpan Pause = TimeSpan.FromSeconds(10);

    private readonly Lock _gate = new();
    private bool _isWanted;
    private long? _letThrough;

    /// <returns>False where one is waiting already, which will do for this one, too.</returns>
    public bool Ask()
    {
        lock (_gate)
        {
            if (_isWanted)
                return false;
            return _isWanted = true;
        }
    }

    /// <summary>How long the one that waits has to; null where none does.</summary>
    public TimeSpan? Wait()
    {
        lock (_gate)
        {
            if (!_isWanted)
                return null;
            TimeSpan wait = _letThrough is { } last ? Pause - time.GetElapsedTime(last) : TimeSpan.Zero;
            return wait > TimeSpan.Zero ? wait : TimeSpan.Zero;
        }
    }

    /// <summary>Lets the one that waits through, if its time has come.</summary>
    public bool TryTake()
    {
        lock (_gate)
        {
            if (Wait() != TimeSpan.Zero)
                return false;
            _isWanted = false;
            _letThrough = time.GetTimestamp();
            return true;
        }
    }

    /// <summary>There have been births for another reason: none is wanted any more.</summary>
    public void Forget()
    {
        lock (_gate)
            _isWanted = false;
    }
}
