using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>
/// Readings of one machine on their way from the poll loop to the disk. Bounded: what finds it full is dropped and counted.
/// Adding takes a lock that is held for a microsecond at most, and allocates nothing.
/// </summary>
internal sealed class ReadingQueue(IReadOnlyList<Signal> signals, int capacity)
{
    /// <summary>Rows that are taken out while the lock is held: few, for a poll loop may wait for it.</summary>
    private const int RowsAtOnce = 32;

    private readonly Lock _gate = new();
    private readonly Signal[] _signals = [.. signals];
    private readonly long[] _ticks = new long[capacity];
    private readonly long[] _microseconds = new long[capacity];
    private readonly Quality[] _qualities = new Quality[capacity];
    private readonly double[] _values = new double[capacity * signals.Count];
    private long _lastTicks = -1;
    private int _first;
    private int _count;
    private long _dropped;

    /// <summary>Readings that found it full.</summary>
    public long Dropped => Interlocked.Read(ref _dropped);

    /// <summary>A reading whose time does not move forward is passed over, as the watch does.</summary>
    /// <param name="microseconds">Its wall-clock time, µs since 1970-01-01 UTC.</param>
    public void Add(in Reading reading, long microseconds)
    {
        lock (_gate)
        {
            if (reading.Ticks <= _lastTicks)
                return;
            _lastTicks = reading.Ticks;
            if (_count == _ticks.Length)
            {
                Interlocked.Increment(ref _dropped);
                return;
            }
            int row = (_first + _count++) % _ticks.Length;
            _ticks[row] = reading.Ticks;
            _microseconds[row] = microseconds;
            _qualities[row] = reading.Quality;
            Span<double> values = _values.AsSpan(row * _signals.Length, _signals.Length);
            for (int i = 0; i < _signals.Length; i++)
                values[i] = reading[_signals[i]];
        }
    }

    /// <summary>Wall-clock time of the oldest that waits, µs since 1970-01-01 UTC; null where none does.</summary>
    public long? OldestMicroseconds
    {
        get
        {
            lock (_gate)
                return _count > 0 ? _microseconds[_first] : null;
        }
    }

    /// <summary>Takes out the oldest ones of one UTC day, as many as the batch has room for.</summary>
    /// <param name="into">Begun for these signals; they are added to it.</param>
    /// <param name="from">Wall-clock times that belong to the day, µs since 1970-01-01 UTC.</param>
    /// <param name="to">The first that does not.</param>
    public void Take(ReadingBatch into, long from, long to)
    {
        while (TakeSome(into, from, to) == RowsAtOnce) { }
    }

    private int TakeSome(ReadingBatch into, long from, long to)
    {
        lock (_gate)
        {
            int taken = 0;
            while (
                taken < RowsAtOnce
                && _count > 0
                && into.Count < ReadingBatch.Capacity
                && _microseconds[_first] >= from
                && _microseconds[_first] < to
            )
            {
                int row = into.Count++;
                into.TickColumn[row] = _ticks[_first];
                into.TimeColumn[row] = _microseconds[_first];
                into.QualityColumn[row] = _qualities[_first];
                for (int i = 0; i < _signals.Length; i++)
                    into.Column(_signals[i])[row] = _values[(_first * _signals.Length) + i];
                _first = (_first + 1) % _ticks.Length;
                _count--;
                taken++;
            }
            return taken;
        }
    }
}
