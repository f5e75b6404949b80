namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// What the trip's own timer sees. The machine trips when fill stays past a level for a hold time, so the fill that counts
/// for the full side is the smallest of the last hold time, and for the empty side the largest. A peak shorter than the
/// hold moves neither.
/// </summary>
/// <remarks>
/// Sliding minimum and maximum by two monotonic queues (Lemire 2006, "Streaming maximum-minimum filter"): O(1) amortised
/// a reading, memory fixed. When readings come faster than the queue was sized for, the newest stands for the one before.
/// </remarks>
internal sealed class HeldExtremes
{
    private readonly MonotonicQueue _smallest;
    private readonly MonotonicQueue _largest;
    private readonly double _holdSeconds;
    private double _since = double.NaN;

    /// <param name="holdSeconds">Hold time of the trip, s.</param>
    /// <param name="pollSeconds">Time between two reads when all goes well, s.</param>
    public HeldExtremes(double holdSeconds, double pollSeconds)
    {
        _holdSeconds = holdSeconds;
        int capacity = 8 + (int)Math.Min(8_192, 2 * holdSeconds / pollSeconds);
        _smallest = new MonotonicQueue(capacity, sign: 1);
        _largest = new MonotonicQueue(capacity, sign: -1);
    }

    /// <summary>Smallest fill of the last hold time, %; NaN until a whole hold time was seen.</summary>
    public double HeldFull { get; private set; } = double.NaN;

    /// <summary>Largest fill of the last hold time, %; NaN until a whole hold time was seen.</summary>
    public double HeldEmpty { get; private set; } = double.NaN;

    public void Reset()
    {
        _smallest.Clear();
        _largest.Clear();
        _since = HeldFull = HeldEmpty = double.NaN;
    }

    /// <param name="seconds">Time of the reading, s; rising.</param>
    /// <param name="fillPercent">Fill, %; finite.</param>
    public void Add(double seconds, double fillPercent)
    {
        if (double.IsNaN(_since))
            _since = seconds;
        double oldest = seconds - _holdSeconds;
        double smallest = _smallest.Add(seconds, fillPercent, oldest);
        double largest = _largest.Add(seconds, fillPercent, oldest);
        if (_since > oldest)
            return;
        HeldFull = smallest;
        HeldEmpty = largest;
    }

    /// <summary>Values that can still become the extreme, oldest first; <paramref name="sign"/> 1 keeps the minimum, -1 the maximum.</summary>
    private sealed class MonotonicQueue(int capacity, int sign)
    {
        private readonly (double Seconds, double Value)[] _ring = new (double, double)[capacity];
        private int _first;
        private int _count;

        public void Clear() => _count = 0;

        public double Add(double seconds, double value, double oldest)
        {
            while (_count > 0 && sign * Last.Value >= sign * value)
                _count--;
            if (_count == _ring.Length)
                _count--;
            _ring[Place(_count++)] = (seconds, value);
            while (_ring[_first].Seconds < oldest)
            {
                _first = Place(1);
                _count--;
            }
            return _ring[_first].Value;
        }

        private (double Seconds, double Value) Last => _ring[Place(_count - 1)];

        private int Place(int after) =>
            _first + after < _ring.Length ? _first + after : _first + after - _ring.Length;
    }
}
