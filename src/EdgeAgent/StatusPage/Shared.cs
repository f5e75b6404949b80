namespace Dancerwatch.EdgeAgent.StatusPage;

/// <summary>Something that is made once for all viewers who ask for it within a time.</summary>
internal sealed class Shared<T>(TimeSpan fresh, TimeProvider time, Func<T> make)
    where T : class
{
    private readonly Lock _gate = new();
    private T? _made;
    private long _at;

    public T Get()
    {
        lock (_gate)
        {
            if (_made is null || time.GetElapsedTime(_at) >= fresh)
                (_made, _at) = (make(), time.GetTimestamp());
            return _made;
        }
    }
}
