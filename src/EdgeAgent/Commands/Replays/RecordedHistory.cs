using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>
/// One machine of a recording. The next batch is decoded while the latest is looked at. Over a restart of the daemon its ticks go
/// on, by the wall clock: the restart is a hole in the readings, as it is to the daemon.
/// </summary>
internal sealed class RecordedHistory(RecordingReader reader, int machine) : IHistory
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

    public int Machine => machine;

    public long Rows { get; private set; }

    public double Progress => Volatile.Read(ref _progress);

    public IEnumerable<string> Findings => reader.Findings;

    public DateTimeOffset ToWallClock(long ticks) =>
        UnixTime.Of(_lastMicroseconds).AddTicks(ticks - _lastTicks);

    /// <summary>Machines' events come by their times.</summary>
    public long OrderOf(MachineEvent raised) => raised.Milliseconds;

    public async ValueTask<bool> NextBatchAsync(CancellationToken cancellation)
    {
        bool isThere = await (_reading ?? Read());
        Volatile.Write(ref _progress, reader.Progress);
        (_batch, _spare) = (_spare, _batch);
        _next = 0;
        if (!isThere)
            _batch.Begin(0, []);
        _reading = isThere ? Read() : Task.FromResult(false);
        return isThere;
    }

    public bool TryRead(out Reading reading)
    {
        if (_next == _batch.Count)
        {
            reading = default;
            return false;
        }
        reading = _batch.Reading(_next);
        long microseconds = _batch.Microseconds[_next++];
        if (_any && _batch.Run != _run)
        {
            long hole = (microseconds - _lastMicroseconds) * TimeSpan.TicksPerMicrosecond;
            _offset = _lastTicks + Math.Max(hole, LeastHole) - reading.Ticks;
        }
        (_any, _run) = (true, _batch.Run);
        _lastTicks = reading.Ticks + _offset;
        _lastMicroseconds = microseconds;
        reading = reading with { Ticks = _lastTicks };
        Rows++;
        return true;
    }

    public void Dispose()
    {
        if (_reading is { } underWay)
            Task.WhenAny(underWay).Wait();
        reader.Dispose();
    }

    private Task<bool> Read() => Task.Run(() => reader.TryRead(_spare));
}
