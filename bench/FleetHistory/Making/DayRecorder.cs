using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Bench.FleetHistory.Making;

/// <summary>Records one machine's readings as the agent does: a file a quarter of an hour, by machine and day.</summary>
/// <param name="ring">Where its site's copy goes.</param>
internal sealed class DayRecorder(string ring, string machine) : IDisposable
{
    private const long FileTicks = 15 * 60 * TimeSpan.TicksPerSecond;

    private readonly ReadingBatch _batch = new();
    private ReadingFileWriter? _file;
    private long _fileOf = -1;

    public void Take(in Reading reading)
    {
        if (reading.Ticks / FileTicks != _fileOf)
            Begin(reading.Ticks);
        int row = _batch.Count++;
        _batch.TickColumn[row] = reading.Ticks;
        _batch.TimeColumn[row] = UnixTime.Microseconds(Shifts.Midnight.AddTicks(reading.Ticks));
        _batch.QualityColumn[row] = reading.Quality;
        foreach (Signal signal in Readings.Signals)
            _batch.Column(signal)[row] = reading[signal];
        if (_batch.Count == ReadingBatch.Capacity)
            Flush();
    }

    public void Finish()
    {
        if (_file is null)
            return;
        Flush();
        _file.Finish();
        _file = null;
    }

    public void Dispose() => _file?.Dispose();

    private void Begin(long ticks)
    {
        Finish();
        _fileOf = ticks / FileTicks;
        RecordedFile file = new(
            ring,
            machine,
            DateOnly.FromDateTime(Shifts.Midnight.AddTicks(ticks).UtcDateTime),
            Run: 1,
            ticks,
            RecordedFileKind.Finished
        );
        Directory.CreateDirectory(Path.GetDirectoryName(file.Path)!);
        _file = new ReadingFileWriter(
            file.Path,
            Readings.Signals,
            ReadingFile.Facts(machine, Readings.Signals)
        );
        _batch.Begin(run: 1, Readings.Signals);
    }

    private void Flush()
    {
        _file!.Write(_batch);
        _batch.Begin(run: 1, Readings.Signals);
    }
}
