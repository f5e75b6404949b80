namespace Dancerwatch.Polling;

/// <summary>Durations in ticks of 100 ns, kept up to a number, and their percentiles.</summary>
internal sealed class Percentiles(int capacity)
{
    private readonly long[] _ticks = new long[capacity];
    private int _count;

    public int Count => Math.Min(_count, _ticks.Length);

    /// <summary>From several threads.</summary>
    public void Add(long ticks)
    {
        int place = Interlocked.Increment(ref _count) - 1;
        if (place < _ticks.Length)
            _ticks[place] = ticks;
    }

    public void Clear() => _count = 0;

    public double Milliseconds(double share)
    {
        long[] sorted = [.. _ticks.Take(Count).Order()];
        return sorted.Length == 0
            ? double.NaN
            : sorted[(int)(share * (sorted.Length - 1))] / (double)TimeSpan.TicksPerMillisecond;
    }

    public override string ToString() =>
        $"p50 {Milliseconds(0.5), 6:0.000}  p90 {Milliseconds(0.9), 6:0.000}  p99 {Milliseconds(0.99), 6:0.000}  most {Milliseconds(1), 6:0.000} ms";
}
