using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Recording;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>A CSV trace: all its machines, row by row.</summary>
internal sealed class CsvHistory : IHistory
{
    private readonly FileStream _file;
    private readonly CsvTraceReader _trace;
    private readonly long _length;
    private readonly Period _period;

    /// <param name="machines">The machines to read rows of.</param>
    /// <param name="passedOver">Names of machines whose rows are passed over in silence.</param>
    /// <exception cref="IOException">It cannot be read.</exception>
    public CsvHistory(
        string path,
        IReadOnlyList<WatchedMachineSettings> machines,
        IReadOnlyCollection<string> passedOver,
        Period period
    )
    {
        _period = period;
        _file = File.OpenRead(path);
        try
        {
            _length = _file.Length;
            _trace = new CsvTraceReader(_file, machines, passedOver);
        }
        catch
        {
            _file.Dispose();
            throw;
        }
    }

    public long Rows { get; private set; }

    public double Progress => _length == 0 ? 1 : (double)Volatile.Read(ref _position) / _length;

    private long _position;

    public IEnumerable<string> Findings => _trace.Findings.All.Select(finding => finding.ToString());

    // Known from the first row on.
    public DateTimeOffset ToWallClock(long ticks) => _trace.Zero!.Value.AddTicks(ticks);

    public bool TryRead(out TraceRow row)
    {
        while (_trace.TryRead(out row))
        {
            if ((++_seen & 0xFFF) == 0)
                Volatile.Write(ref _position, _file.Position);
            DateTimeOffset time = ToWallClock(row.Reading.Ticks);
            if (time < _period.From || time >= _period.To)
                continue;
            Rows++;
            return true;
        }
        Volatile.Write(ref _position, _length);
        return false;
    }

    private long _seen;

    public void Dispose()
    {
        _trace.Dispose();
        _file.Dispose();
    }
}
