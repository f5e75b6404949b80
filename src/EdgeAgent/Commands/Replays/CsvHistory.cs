using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>One machine of a CSV trace.</summary>
internal sealed class CsvHistory(CsvDecoder trace, int machine) : IHistory
{
    private RowBatch? _batch;
    private int _next;

    public int Machine => machine;

    public long Rows { get; private set; }

    public double Progress => trace.Progress;

    /// <summary>None: they are the trace's, not a machine's.</summary>
    public IEnumerable<string> Findings => [];

    public DateTimeOffset ToWallClock(long ticks) => trace.Zero.AddTicks(ticks);

    /// <summary>Machines' events come in the order of the rows that brought them about.</summary>
    public long OrderOf(MachineEvent raised) => _batch!.Number(_next - 1);

    public async ValueTask<bool> NextBatchAsync(CancellationToken cancellation)
    {
        if (_batch is { } read)
            trace.GiveBack(machine, read);
        _batch = await trace.NextAsync(machine, cancellation);
        _next = 0;
        return _batch is not null;
    }

    public bool TryRead(out Reading reading)
    {
        if (_batch is not { } batch || _next == batch.Count)
        {
            reading = default;
            return false;
        }
        reading = batch.Reading(_next++);
        Rows++;
        return true;
    }

    public void Dispose() { }
}
