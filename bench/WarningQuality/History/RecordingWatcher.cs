using Dancerwatch.Bench.WarningQuality.Runs;
using Dancerwatch.Bench.WarningQuality.Watchers;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.WarningQuality.History;

/// <summary>Warns of nothing, and records what it is given as the agent would have.</summary>
internal sealed class RecordingWatcher : IWatcher, IDisposable
{
    private static readonly DateTimeOffset s_begin = new(2026, 11, 25, 6, 0, 0, TimeSpan.Zero);
    private static readonly Signal[] s_signals = Enum.GetValues<Signal>();

    private readonly ReadingFileWriter _file;
    private readonly ReadingBatch _batch = new();

    /// <param name="recordings">Directory of recordings.</param>
    public RecordingWatcher(string recordings, string machine)
    {
        RecordedFile file = new(
            Path.Combine(recordings, Recorder.RingFolder),
            machine,
            DateOnly.FromDateTime(s_begin.UtcDateTime),
            Run: 1,
            Ticks: 0,
            RecordedFileKind.Finished
        );
        Directory.CreateDirectory(Path.GetDirectoryName(file.Path)!);
        _file = new ReadingFileWriter(file.Path, s_signals, ReadingFile.Facts(machine, s_signals));
        _batch.Begin(run: 1, s_signals);
    }

    public Feed Feed => Feed.All;

    public IReadOnlyList<AlertBook> Books => [];

    public void Take(in Reading reading, in FilmTruth truth)
    {
        int row = _batch.Count++;
        _batch.TickColumn[row] = reading.Ticks;
        _batch.TimeColumn[row] = UnixTime.Microseconds(s_begin.AddTicks(reading.Ticks));
        _batch.QualityColumn[row] = reading.Quality;
        foreach (Signal signal in s_signals)
            _batch.Column(signal)[row] = reading[signal];
        if (_batch.Count == ReadingBatch.Capacity)
            Flush();
    }

    public void Finish()
    {
        Flush();
        _file.Finish();
    }

    public void Dispose() => _file.Dispose();

    private void Flush()
    {
        _file.Write(_batch);
        _batch.Begin(run: 1, s_signals);
    }
}
