using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.EndToEnd.Tests.Reports;

/// <summary>Recordings of tea-1 over days, written as the daemon writes them: a file for each day in UTC.</summary>
/// <param name="recordings">Directory of recordings.</param>
/// <param name="begin">Of the first reading.</param>
internal sealed class RecordedDays(string recordings, DateTimeOffset begin) : IDisposable
{
    /// <summary>Readings a second: few, for a day has many seconds.</summary>
    public const int PerSecond = 2;

    private static readonly Signal[] s_signals =
    [
        Signal.Gap,
        Signal.UnwindSpeed,
        Signal.LineSpeed,
        Signal.Running,
        Signal.RollDiameter,
    ];

    private readonly ReadingBatch _batch = new();
    private ReadingFileWriter? _file;
    private DateOnly _day;
    private long _ticks;

    public static string Configuration =>
        $$"""
            {
              "site": "leafside",
              "area": "tea-hall",
              "controllers": [{ "name": "packing-a", "host": "192.0.2.10", "pollMilliseconds": {{1000
                / PerSecond}} }],
              "machines": [{
                "name": "tea-1", "line": "line-1", "controller": "packing-a",
                "signals": {
                  {{string.Join(", ", s_signals.Select(Source))}}
                },
                "dancer": { "gapAtEmptyCounts": 600, "gapAtFullCounts": 3500, "storageMillimeters": 1500 }
              }]
            }
            """;

    /// <summary>When the next reading will be.</summary>
    public DateTimeOffset Now => begin.AddTicks(_ticks);

    /// <summary>The machine runs about half fill.</summary>
    /// <param name="swing">Zero to peak, % of fill, in periods of 7 s and a bit.</param>
    public void RunFor(TimeSpan time, double swing = 10)
    {
        for (long end = _ticks + time.Ticks; _ticks < end; )
        {
            double seconds = (double)_ticks / TimeSpan.TicksPerSecond;
            double fill = 50 + (swing * Math.Sin(2 * Math.PI * seconds / 7.3));
            Take(Math.Round(600 + (29 * fill)), unwind: 12, line: 12, running: true, diameter: 300);
        }
    }

    /// <summary>Records what the machine's controller knows while its time passes.</summary>
    public void Watch(VirtualDancer machine, double seconds)
    {
        for (int i = 0; i < seconds * PerSecond; i++)
        {
            machine.Advance(1.0 / PerSecond);
            ControllerImage now = machine.Image;
            Take(now.GapCounts, now.UnwindSpeed, now.LineSpeed, now.Running, now.RollDiameter);
        }
    }

    public void Dispose()
    {
        Finish();
        _file?.Dispose();
    }

    private static string Source(Signal signal) =>
        $$"""
            "{{signal.Code()}}": { "tag": "Tea1.{{signal}}", "type": "REAL" }
            """;

    private void Take(double gap, double unwind, double line, bool running, double diameter)
    {
        DateOnly day = DateOnly.FromDateTime(Now.UtcDateTime);
        if (_file is null || day != _day)
            Begin(day);
        int row = _batch.Count++;
        _batch.TickColumn[row] = _ticks;
        _batch.TimeColumn[row] = UnixTime.Microseconds(Now);
        _batch.QualityColumn[row] = Quality.Good;
        _batch.Column(Signal.Gap)[row] = gap;
        _batch.Column(Signal.UnwindSpeed)[row] = unwind;
        _batch.Column(Signal.LineSpeed)[row] = line;
        _batch.Column(Signal.Running)[row] = running ? 1 : 0;
        _batch.Column(Signal.RollDiameter)[row] = diameter;
        _ticks += TimeSpan.TicksPerSecond / PerSecond;
        if (_batch.Count == ReadingBatch.Capacity)
            Flush();
    }

    private void Begin(DateOnly day)
    {
        Finish();
        _file?.Dispose();
        _day = day;
        RecordedFile file = new(
            Path.Combine(recordings, Recorder.RingFolder),
            "tea-1",
            day,
            Run: 1,
            _ticks,
            RecordedFileKind.Finished
        );
        Directory.CreateDirectory(Path.GetDirectoryName(file.Path)!);
        _file = new ReadingFileWriter(file.Path, s_signals, ReadingFile.Facts("tea-1", s_signals));
        _batch.Begin(run: 1, s_signals);
    }

    private void Finish()
    {
        if (_file is null)
            return;
        Flush();
        _file.Finish();
    }

    private void Flush()
    {
        if (_batch.Count > 0)
            _file!.Write(_batch);
        _batch.Begin(run: 1, s_signals);
    }
}
