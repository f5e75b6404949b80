namespace Dancerwatch.EdgeAgent.Watching;

/// <summary>
/// Fill of the last five minutes, for a person to look at. Bounded; adding takes a lock that is held for well under a
/// microsecond and allocates nothing, and who reads it never holds that lock for longer than it takes to copy a few values.
/// </summary>
public sealed class FillTrace
{
    /// <summary>Five minutes and a half at 25 a second.</summary>
    private const int Capacity = 8_192;

    /// <summary>Values that are copied while the lock is held: few, for a poll loop may wait for it.</summary>
    private const int AtOnce = 64;

    /// <summary>Closer values are thinned to 25 a second, which shows what moves 5 times a second.</summary>
    private const long LeastTicks = 38 * TimeSpan.TicksPerMillisecond;

    private readonly Lock _gate = new();
    private readonly long[] _ticks = new long[Capacity];
    private readonly float[] _percent = new float[Capacity];
    private long _written;
    private long _lastTicks = long.MinValue / 2;

    /// <summary>Most values <see cref="Read"/> can give.</summary>
    public const int Most = Capacity;

    /// <param name="percent">Fill, %; NaN where there was none.</param>
    public void Add(long ticks, double percent)
    {
        lock (_gate)
        {
            if (ticks - _lastTicks < LeastTicks)
                return;
            _lastTicks = ticks;
            int place = (int)(_written++ % Capacity);
            (_ticks[place], _percent[place]) = (ticks, (float)percent);
        }
    }

    /// <summary>Copies what came since, oldest first.</summary>
    /// <param name="next">Number of the first value that is wanted; afterwards of the one that comes next. 0 for all there is.</param>
    /// <param name="ticks">Room for <see cref="Most"/> times, ticks of 100 ns.</param>
    /// <param name="percent">Room for as many values.</param>
    /// <returns>How many were copied.</returns>
    public int Read(ref long next, Span<long> ticks, Span<float> percent)
    {
        int count = 0;
        while (true)
        {
            lock (_gate)
            {
                // What was overwritten meanwhile is left out.
                next = Math.Max(next, _written - Capacity);
                int taken = 0;
                for (; taken < AtOnce && next < _written && count < ticks.Length; taken++, next++, count++)
                {
                    int place = (int)(next % Capacity);
                    (ticks[count], percent[count]) = (_ticks[place], _percent[place]);
                }
                if (taken < AtOnce)
                    return count;
            }
        }
    }
}
