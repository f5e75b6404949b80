using System.Globalization;
using System.Text;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Bench.Speed.Traces;

/// <summary>A directory of its own with a trace as recordings of some machines, as CSV, and the configuration that fits; gone when disposed of.</summary>
internal sealed class TraceFiles : IDisposable
{
    /// <summary>An hour and some at 50 Hz, in whole row groups.</summary>
    private const int ReadingsOfFile = 24 * ReadingBatch.Capacity;

    private static readonly DateTimeOffset s_begin = new(2026, 11, 25, 6, 0, 0, TimeSpan.Zero);
    private static readonly Signal[] s_signals = Enum.GetValues<Signal>();

    private readonly string _directory = Directory.CreateTempSubdirectory("dancerwatch-speed-").FullName;

    /// <param name="machines">As many, all alike.</param>
    /// <param name="readings">Of each.</param>
    /// <param name="csvOf">Machines that are in the CSV as well, of all the first.</param>
    public TraceFiles(Trace trace, int machines, int readings, int csvOf = 1)
    {
        Settings = SettingsOf(machines);
        for (int machine = 0; machine < machines; machine++)
            Record(trace, Settings.Machines[machine].Name, readings);
        Readings = (long)machines * readings;
        for (int of = 1; of <= csvOf; of++)
            WriteCsv(trace, of, readings);
    }

    public AgentSettings Settings { get; }

    /// <summary>Readings of all machines together.</summary>
    public long Readings { get; }

    public string Recordings => Path.Combine(_directory, "recordings");

    /// <summary>Of the first machine.</summary>
    public string Csv => CsvOf(1);

    /// <summary>Of the first machines, row by row in turns.</summary>
    public string CsvOf(int machines) =>
        Path.Combine(_directory, string.Create(CultureInfo.InvariantCulture, $"trace-{machines}.csv"));

    /// <summary>A configuration of so many machines that are built as <see cref="Trace"/>'s.</summary>
    public static AgentSettings SettingsOf(int machines) =>
        SettingsFile.Parse(Encoding.UTF8.GetBytes(Configuration(machines)), Path.GetTempPath()).Settings
        ?? throw new InvalidOperationException("The configuration is not valid.");

    public void Dispose() => Directory.Delete(_directory, recursive: true);

    private void WriteCsv(Trace trace, int machines, int readings)
    {
        trace.Rewind();
        using StreamWriter text = new(CsvOf(machines));
        CsvTraceWriter csv = new(text, [.. Settings.Machines.Take(machines)]);
        for (int i = 0; i < readings; i++)
        {
            Reading reading = trace.Next();
            for (int machine = 0; machine < machines; machine++)
                csv.Write(machine, reading, s_begin.AddTicks(reading.Ticks));
        }
    }

    private void Record(Trace trace, string name, int readings)
    {
        ReadingBatch batch = new();
        trace.Rewind();
        for (int left = readings; left > 0; left -= ReadingsOfFile)
        {
            Reading first = trace.Next();
            RecordedFile file = new(
                Path.Combine(Recordings, Recorder.RingFolder),
                name,
                DateOnly.FromDateTime(s_begin.AddTicks(first.Ticks).UtcDateTime),
                Run: 1,
                first.Ticks,
                RecordedFileKind.Finished
            );
            Directory.CreateDirectory(Path.GetDirectoryName(file.Path)!);
            using ReadingFileWriter into = new(file.Path, s_signals, ReadingFile.Facts(name, s_signals));
            batch.Begin(run: 1, s_signals);
            Add(batch, first);
            for (int row = 1; row < Math.Min(left, ReadingsOfFile); row++)
            {
                if (batch.Count == ReadingBatch.Capacity)
                {
                    into.Write(batch);
                    batch.Begin(run: 1, s_signals);
                }
                Add(batch, trace.Next());
            }
            into.Write(batch);
            into.Finish();
        }
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
