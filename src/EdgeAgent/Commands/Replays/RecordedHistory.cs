using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>
/// One machine of a recording. The next batch is read while the latest is looked at. Over a restart of the daemon its ticks go
/// on, by the wall clock: the restart is a hole in the readings, as it is to the daemon.
/// </summary>
/// <param name="place">Place of the machine in the list of machines.</param>
internal sealed class RecordedHistory(RecordingReader reader, int place) : IHistory
{
    /// <summary>What a hole counts as where the wall clock was set back in it.</summary>
    private const long LeastHole = TimeSpan.TicksPerSecond;

    private ReadingBatch _batch = new();
    private ReadingBatch _spare = new();
    private Task<bool>? _reading;
    private int _next;
    private long _run;
    private long _offset;
    private long _lastTicks;
    private long _lastMicroseconds;
    private bool _any;
    private double _progress;

    public long Rows { get; private set; }

    public double Progress => Volatile.Read(ref _progress);

    public IEnumerable<string> Findings => reader.Findings;

    public DateTimeOffset ToWallClock(long ticks) =>
        UnixTime.Of(_lastMicroseconds).AddTicks(ticks - _lastTicks);

    public bool TryRead(out TraceRow row)
    {
        if (_next == _batch.Count && !NextBatch())
        {
            row = default;
            return false;
        }
        Reading reading = _batch.Reading(_next);
        long microseconds = _batch.Microseconds[_next++];
        if (_any && _batch.Run != _run)
        {
            long hole = (microseconds - _lastMicroseconds) * TimeSpan.TicksPerMicrosecond;
            _offset = _lastTicks + Math.Max(hole, LeastHole) - reading.Ticks;
        }
        (_any, _run) = (true, _batch.Run);
        _lastTicks = reading.Ticks + _offset;
        _lastMicroseconds = microseconds;
        row = new TraceRow(place, reading with { Ticks = _lastTicks });
        Rows++;
        return true;
    }

    public void Dispose()
    {
        _reading?.Wait();
        reader.Dispose();
    }

    private bool NextBatch()
    {
        _reading ??= Read();
        bool isThere = _reading.GetAwaiter().GetResult();
        Volatile.Write(ref _progress, reader.Progress);
        (_batch, _spare) = (_spare, _batch);
        _next = 0;
        _reading = isThere ? Read() : Task.FromResult(false);
        if (!isThere)
            _batch.Begin(0, []);
        return isThere;
    }

    private Task<bool> Read() => Task.Run(() => reader.TryRead(_spare));
}
