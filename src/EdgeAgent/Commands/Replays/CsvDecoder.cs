using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Recording;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>
/// Decodes a CSV trace ahead of those who read it, and sorts its rows into batches by machine. It begins when the first machine
/// is read, and waits where one of them is too far behind: all are to be read at once.
/// </summary>
internal sealed class CsvDecoder : IDisposable
{
    private readonly Stream _file;
    private readonly CsvTraceReader _trace;
    private readonly long _length;
    private readonly Period _period;
    private readonly BatchRound[] _rounds;
    private readonly Lazy<Task> _decoding;
    private readonly CancellationTokenSource _stop = new();
    private long _rows;
    private long _position;

    /// <param name="file">What <see cref="CsvTraceReader"/> reads; ours from now on.</param>
    /// <param name="machines">The machines to read rows of.</param>
    /// <param name="passedOver">Names of machines whose rows are passed over in silence.</param>
    /// <exception cref="IOException">It cannot be read.</exception>
    public CsvDecoder(
        Stream file,
        IReadOnlyList<WatchedMachineSettings> machines,
        IReadOnlyCollection<string> passedOver,
        Period period
    )
    {
        _period = period;
        _rounds = [.. machines.Select(_ => new BatchRound())];
        _decoding = new(() => Task.Run(DecodeAsync));
        _file = file;
        try
        {
            _length = file.Length;
            _trace = new CsvTraceReader(file, machines, passedOver);
        }
        catch
        {
            file.Dispose();
            throw;
        }
    }

    /// <summary>Wall-clock time (UTC) at ticks 0; known from the first row on.</summary>
    public DateTimeOffset Zero => _trace.Zero!.Value;

    /// <summary>How much has been decoded, 0 to 1. May be asked from another thread.</summary>
    public double Progress => _length == 0 ? 1 : (double)Volatile.Read(ref _position) / _length;

    /// <summary>What is wrong with the trace, once all of it has been read.</summary>
    public IEnumerable<string> Findings => _trace.Findings.All.Select(finding => finding.ToString());

    /// <summary>The next batch of a machine; null after the last.</summary>
    /// <exception cref="IOException">The trace cannot be read on.</exception>
    public async ValueTask<RowBatch?> NextAsync(int machine, CancellationToken cancellation)
    {
        Task decoding = _decoding.Value;
        RowBatch? batch = await _rounds[machine].NextAsync(cancellation);
        if (batch is null)
            await decoding;
        return batch;
    }

    public void GiveBack(int machine, RowBatch batch) => _rounds[machine].GiveBack(batch);

    public void Dispose()
    {
        _stop.Cancel();
        if (_decoding.IsValueCreated)
            Task.WhenAny(_decoding.Value).Wait();
        _stop.Dispose();
        _trace.Dispose();
        _file.Dispose();
    }

    private async Task DecodeAsync()
    {
        try
        {
            while (DecodeUntilABatchIsFull() is { } round)
            {
                await round.HandOnAsync(_stop.Token);
                Volatile.Write(ref _position, _file.Position);
            }
            Volatile.Write(ref _position, _length);
        }
        finally
        {
            foreach (BatchRound round in _rounds)
                round.End();
        }
    }

    /// <returns>Where a batch is full; null at the end of the trace.</returns>
    private BatchRound? DecodeUntilABatchIsFull()
    {
        while (_trace.TryRead(out TraceRow row))
        {
            _stop.Token.ThrowIfCancellationRequested();
            DateTimeOffset time = Zero.AddTicks(row.Reading.Ticks);
            if (time < _period.From || time >= _period.To)
                continue;
            BatchRound round = _rounds[row.Machine];
            round.Filling.Add(row.Reading, ++_rows);
            if (round.Filling.IsFull)
                return round;
        }
        return null;
    }
}
