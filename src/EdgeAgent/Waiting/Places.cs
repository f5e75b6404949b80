namespace Dancerwatch.EdgeAgent.Waiting;

/// <summary>Numbers from 0 on, each for one at a time, the lowest free one first. Not thread-safe.</summary>
internal sealed class Places<T>
    where T : class
{
    private readonly List<T?> _taken = [];

    /// <summary>Who has a number; null for nobody.</summary>
    public T? this[int place] => place < _taken.Count ? _taken[place] : null;

    public int Take(T who)
    {
        int place = _taken.IndexOf(null);
        if (place < 0)
        {
            place = _taken.Count;
            _taken.Add(null);
        }
        _taken[place] = who;
        return place;
    }

    public void Leave(T who)
    {
        if (_taken.IndexOf(who) is var place and >= 0)
            _taken[place] = null;
    }
}
