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
    private readonly MonotonicQueue _largest; // of fill below 0: its smallest
    private readonly double _holdSeconds;
    private double _since = double.NaN;

    /// <param name="holdSeconds">Hold time of the trip, s.</param>
    /// <param name="pollSeconds">Time between two reads when all goes well, s.</param>
    public HeldExtremes(double holdSeconds, double pollSeconds)
    {
        _holdSeconds = holdSeconds;
        int capacity = 8 + (int)Math.Min(8_192, 2 * holdSeconds / pollSeconds);
        _smallest = new MonotonicQueue(capacity);
        _largest = new MonotonicQueue(capacity);
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
        double largest = -_largest.Add(seconds, -fillPercent, oldest);
        if (_since > oldest)
            return;
        HeldFull = smallest;
        HeldEmpty = largest;
    }

    /// <summary>Values that can still become the smallest, oldest first.</summary>
    private sealed class MonotonicQueue(int capacity)
    {
        private readonly (double Seconds, double Value)[] _ring = new (double, double)[capacity];
        private int _first;
        private int _next;
        private int _count;

        public void Clear() => _count = 0;

        public double Add(double seconds, double value, double oldest)
        {
            (double Seconds, double Value)[] ring = _ring;
            int next = _next;
            int count = _count;
            for (; count > 0; count--)
            {
                int last = next == 0 ? ring.Length - 1 : next - 1;
                if (ring[last].Value < value && count < ring.Length)
                    break;
                next = last;
            }
            int first = count == 0 ? next : _first;
            ring[next] = (seconds, value);
            _next = next + 1 == ring.Length ? 0 : next + 1;
            count++;
            for (; ring[first].Seconds < oldest; count--)
                first = first + 1 == ring.Length ? 0 : first + 1;
            (_first, _count) = (first, count);
            return ring[first].Value;
        }
    }
}
