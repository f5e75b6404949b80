using System.Text;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Bench.Speed.Traces;

/// <summary>A directory of its own with a trace as recordings of some machines, as CSV, and the configuration that fits; gone when disposed of.</summary>
internal sealed class TraceFiles : IDisposable
{
    private static readonly DateTimeOffset s_begin = new(2026, 11, 25, 6, 0, 0, TimeSpan.Zero);
    private static readonly Signal[] s_signals = Enum.GetValues<Signal>();

    private readonly string _directory = Directory.CreateTempSubdirectory("dancerwatch-speed-").FullName;

    /// <param name="machines">As many, all alike.</param>
    /// <param name="readings">Of each.</param>
    public TraceFiles(Trace trace, int machines, int readings)
    {
        Settings = SettingsOf(machines);
        for (int machine = 0; machine < machines; machine++)
            Record(trace, Settings.Machines[machine].Name, readings);
        Readings = (long)machines * readings;
        trace.Rewind();
        using StreamWriter text = new(Csv);
        CsvTraceWriter csv = new(text, [Settings.Machines[0]]);
        for (int i = 0; i < readings; i++)
        {
            Reading reading = trace.Next();
            csv.Write(0, reading, s_begin.AddTicks(reading.Ticks));
        }
    }

    public AgentSettings Settings { get; }

    /// <summary>Readings of all machines together.</summary>
    public long Readings { get; }

    public string Recordings => Path.Combine(_directory, "recordings");

    /// <summary>Of the first machine.</summary>
    public string Csv => Path.Combine(_directory, "trace.csv");

    /// <summary>A configuration of so many machines that are built as <see cref="Trace"/>'s.</summary>
    public static AgentSettings SettingsOf(int machines) =>
        SettingsFile.Parse(Encoding.UTF8.GetBytes(Configuration(machines)), Path.GetTempPath()).Settings
        ?? throw new InvalidOperationException("The configuration is not valid.");

    public void Dispose() => Directory.Delete(_directory, recursive: true);

    private void Record(Trace trace, string name, int readings)
    {
        RecordedFile file = new(
            Path.Combine(Recordings, Recorder.RingFolder),
            name,
            DateOnly.FromDateTime(s_begin.UtcDateTime),
            Run: 1,
            Ticks: 0,
            RecordedFileKind.Finished
        );
        Directory.CreateDirectory(Path.GetDirectoryName(file.Path)!);
        using ReadingFileWriter into = new(file.Path, s_signals, ReadingFile.Facts(name, s_signals));
        ReadingBatch batch = new();
        trace.Rewind();
        for (int left = readings; left > 0; left -= batch.Count)
        {
            batch.Begin(run: 1, s_signals);
            while (batch.Count < Math.Min(left, ReadingBatch.Capacity))
                Add(batch, trace.Next());
            into.Write(batch);
        }
        into.Finish();
    }

    private static void Add(ReadingBatch batch, in Reading reading)
    {
        int row = batch.Count++;
        batch.TickColumn[row] = reading.Ticks;
        batch.TimeColumn[row] = UnixTime.Microseconds(s_begin.AddTicks(reading.Ticks));
        batch.QualityColumn[row] = reading.Quality;
        foreach (Signal signal in s_signals)
            batch.Column(signal)[row] = reading[signal];
    }

    private static string Configuration(int machines)
    {
        string signals = string.Join(
            ", ",
            s_signals.Select(signal =>
                $$"""
                    "{{Signals.Codes.Code(signal)}}": { "tag": "{{Signals.Codes.Code(
                        signal
                    )}}", "type": "REAL" }
                    """
            )
        );
        string sections = string.Join(
            ",\n",
            Enumerable
                .Range(1, machines)
                .Select(i =>
                    $$"""
                        { "name": "tea-{{i}}", "line": "line-1", "controller": "packing-a", "signals": { {{signals}} },
                          "dancer": { "gapAtEmptyCounts": 600, "gapAtFullCounts": 3500, "targetFillPercent": 50,
                            "overtravelPercent": 5, "tripHoldSeconds": 0.5, "storageMillimeters": 1200 } }
                        """
                )
        );
        return $$"""
            { "site": "leafside", "area": "tea-hall",
              "controllers": [{ "name": "packing-a", "host": "192.0.2.10" }],
              "machines": [ {{sections}} ] }
            """;
    }
}
