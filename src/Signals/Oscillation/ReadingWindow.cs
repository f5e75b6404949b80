using System.Runtime.Intrinsics;
using Dancerwatch.Signals.Memory;

namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// The last readings of fill and unwind speed over a fixed span. Where readings come more than four to a bin they are
/// thinned: each reading is shared between the two nearest bins by its distance (a triangular filter two bins wide), and
/// a bin keeps the weighted mean of its readings' own times, so uneven timing and lost reads shift nothing. The filter's
/// gain at frequency f is sinc^2(f bin): <see cref="Gain"/> undoes it; what lies above the Nyquist rate folds down onto
/// frequency g attenuated by about (g bin)^2.
/// Memory: 24 bytes a kept value. Cost: a few additions a reading. A NaN fill is not stored; a NaN speed is kept as NaN.
/// </summary>
internal sealed class ReadingWindow
{
    /// <summary>Bins in a full window.</summary>
    public const int Bins = 512;
    private const double FewestReadingsPerBin = 4;

    private readonly double[] _seconds;
    private readonly double[] _fill;
    private readonly double[] _speed;
    private readonly bool _thins;
    private readonly double _fullWeight;
    private readonly double _binsPerSecond;
    private int _oldest;
    private double _newestSeconds = double.NegativeInfinity;

    private Bin _current;
    private Bin _next;
    private double _currentIndex = double.NaN;

    /// <param name="spanSeconds">Length of the window, s.</param>
    /// <param name="pollSeconds">Time between two readings when all goes well, s.</param>
    public ReadingWindow(double spanSeconds, double pollSeconds)
    {
        SpanSeconds = spanSeconds;
        BinSeconds = spanSeconds / Bins;
        _binsPerSecond = 1 / BinSeconds;
        _fullWeight = BinSeconds / pollSeconds;
        _thins = _fullWeight >= FewestReadingsPerBin;
        int capacity = _thins ? Bins + 4 : (int)Math.Ceiling(1.25 * spanSeconds / pollSeconds) + 8;
        _seconds = new double[capacity];
        _fill = new double[capacity];
        _speed = new double[capacity];
    }

    public double SpanSeconds { get; }

    /// <summary>Step of the even grid on which the window is searched, s; also the bin where readings are thinned.</summary>
    public double BinSeconds { get; }

    /// <summary>Most values <see cref="CopyTo"/> can give.</summary>
    public int Capacity => _seconds.Length;

    /// <summary>Values kept now.</summary>
    public int Count { get; private set; }

    /// <summary>Least amplitude that survives thinning, as a share: 1 where readings are kept as they are.</summary>
    public double Gain(double frequencyHz)
    {
        if (!_thins || frequencyHz == 0)
            return 1;
        double x = Math.PI * frequencyHz * BinSeconds;
        double sinc = Math.Sin(x) / x;
        return sinc * sinc;
    }

    public void Clear()
    {
        Count = 0;
        _oldest = 0;
        _newestSeconds = double.NegativeInfinity;
        _current = default;
        _next = default;
        _currentIndex = double.NaN;
    }

    /// <summary>Takes a reading; a hole longer than a quarter of the window forgets what came before it.</summary>
    public void Add(double seconds, double fillPercent, double unwindMetersPerMinute)
    {
        if (seconds - _newestSeconds > 0.25 * SpanSeconds)
            Clear();
        _newestSeconds = seconds;
        if (!_thins)
        {
            Keep(seconds, fillPercent, unwindMetersPerMinute);
            return;
        }
        double position = seconds * _binsPerSecond;
        double index = Math.Floor(position);
        while (index != _currentIndex)
            Advance(index);
        double towardsNext = position - index;
        Vector128<double> oneAndTime = Vector128.Create(1, seconds);
        Vector128<double> fillAndSpeed = Vector128.Create(fillPercent, unwindMetersPerMinute);
        _current.Add(1 - towardsNext, oneAndTime, fillAndSpeed);
        _next.Add(towardsNext, oneAndTime, fillAndSpeed);
    }

    /// <summary>Copies the window, oldest first, times less <paramref name="middleSeconds"/>.</summary>
    /// <returns>How many values were copied; all spans must hold <see cref="Capacity"/>.</returns>
    public int CopyTo(Span<double> seconds, Span<double> fill, Span<double> speed, out double middleSeconds)
    {
        middleSeconds = double.NaN;
        if (Count == 0)
            return 0;
        int newest = _oldest + Count - 1;
        newest = newest >= Capacity ? newest - Capacity : newest;
        middleSeconds = 0.5 * (_seconds[_oldest] + _seconds[newest]);
        int first = Math.Min(Count, Capacity - _oldest);
        Unroll(_seconds, first, seconds);
        Unroll(_fill, first, fill);
        Unroll(_speed, first, speed);
        for (int i = 0; i < Count; i++)
            seconds[i] -= middleSeconds;
        return Count;
    }

    /// <summary>Carries its memory.</summary>
    public void Keep(Ledger ledger)
    {
        ledger.Open("Wind"u8);
        for (int i = 0; i < _seconds.Length; i++)
            _seconds[i] = ledger.Seconds(_seconds[i]);
        ledger.Keep(_fill.AsSpan());
        ledger.Keep(_speed.AsSpan());
        _oldest = ledger.Keep(_oldest, 0, Capacity - 1);
        Count = ledger.Keep(Count, 0, Capacity);
        _newestSeconds = ledger.Seconds(_newestSeconds);
        _current.Keep(ledger);
        _next.Keep(ledger);
        _currentIndex = ledger.Seconds(_currentIndex * BinSeconds) / BinSeconds;
        if (ledger.Restores)
            Ledger.Demand(
                IsInOrder(),
                "the readings of an oscillation's window are not in the order of time"
            );
    }

    private bool IsInOrder()
    {
        double before = _newestSeconds - 2 * SpanSeconds;
        for (int i = 0; i < Count; i++)
        {
            double seconds = _seconds[(_oldest + i) % Capacity];
            // Written so that NaN is out of order. Shifted times may lie a rounding apart.
            if (!(seconds >= before && seconds <= _newestSeconds + 1e-6))
                return false;
            before = seconds;
        }
        return true;
    }

    private void Unroll(double[] ring, int first, Span<double> into)
    {
        ring.AsSpan(_oldest, first).CopyTo(into);
        ring.AsSpan(0, Count - first).CopyTo(into[first..]);
    }

    private void Advance(double index)
    {
        // Half the nominal weight: what is missing was lost on the way, and fewer readings are noisier.
        if (_current.Weight > 0.5 * _fullWeight)
            Keep(_current.Seconds, _current.Fill, _current.Speed);
        bool adjoins = index == _currentIndex + 1;
        if (!adjoins && _next.Weight > 0.5 * _fullWeight)
            Keep(_next.Seconds, _next.Fill, _next.Speed);
        _current = adjoins ? _next : default;
        _next = default;
        _currentIndex = index;
    }

    private void Keep(double seconds, double fill, double speed)
    {
        while (Count > 0 && (Count == Capacity || _seconds[_oldest] < seconds - SpanSeconds))
        {
            _oldest = _oldest + 1 == Capacity ? 0 : _oldest + 1;
            Count--;
        }
        int at = _oldest + Count;
        at = at >= Capacity ? at - Capacity : at;
        _seconds[at] = seconds;
        _fill[at] = fill;
        _speed[at] = speed;
        Count++;
    }

    private struct Bin
    {
        private Vector128<double> _weightAndTime;
        private Vector128<double> _fillAndSpeed;

        public readonly double Weight => _weightAndTime[0];
        public readonly double Seconds => _weightAndTime[1] / Weight;
        public readonly double Fill => _fillAndSpeed[0] / Weight;
        public readonly double Speed => _fillAndSpeed[1] / Weight;

        public void Keep(Ledger ledger)
        {
            double weight = ledger.Keep(Weight);
            double time = ledger.Keep(_weightAndTime[1]);
            _fillAndSpeed = ledger.Keep(_fillAndSpeed);
            // A weighted sum of times: all of them are shifted.
            if (ledger.Restores)
                time += weight * ledger.ShiftSeconds;
            _weightAndTime = Vector128.Create(weight, time);
        }

        public void Add(double weight, Vector128<double> oneAndTime, Vector128<double> fillAndSpeed)
        {
            _weightAndTime += weight * oneAndTime;
            _fillAndSpeed += weight * fillAndSpeed;
        }
    }
}
