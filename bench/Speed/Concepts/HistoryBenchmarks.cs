using System.Globalization;
using BenchmarkDotNet.Attributes;
using Dancerwatch.Bench.Speed.Traces;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Recording;

namespace Dancerwatch.Bench.Speed.Concepts;

/// <summary>60,000 readings of 16 signals read back; the baseline splits and parses the lines of the same CSV in the obvious way.</summary>
[MemoryDiagnoser]
public class HistoryBenchmarks : IDisposable
{
    private const int Readings = 60_000;
    private TraceFiles _files = null!;

    [GlobalSetup]
    public void Write() => _files = new TraceFiles(Trace.Record(600, readsAll: true), machines: 1, Readings);

    [GlobalCleanup]
    public void Dispose()
    {
        _files.Dispose();
        GC.SuppressFinalize(this);
    }

    [Benchmark(Baseline = true, Description = "split and parse", OperationsPerInvoke = Readings)]
    public double Split()
    {
        double sum = 0;
        foreach (string line in File.ReadLines(_files.Csv).Skip(1))
        {
            string[] cells = line.Split(',');
            for (int i = 4; i < cells.Length; i++)
                sum += cells[i].Length == 0 ? 0 : double.Parse(cells[i], CultureInfo.InvariantCulture);
        }
        return sum;
    }

    [Benchmark(Description = "CSV, ours", OperationsPerInvoke = Readings)]
    public long Csv()
    {
        using FileStream file = File.OpenRead(_files.Csv);
        using CsvTraceReader reader = new(file, [_files.Settings.Machines[0]]);
        long sum = 0;
        while (reader.TryRead(out TraceRow row))
            sum += row.Reading.Ticks;
        return sum;
    }

    [Benchmark(Description = "Parquet, ours", OperationsPerInvoke = Readings)]
    public long Parquet()
    {
        using RecordingReader reader = RecordingFolder
            .Open(_files.Recordings)
            .Read(_files.Settings.Machines[0].Name, Period.Ever);
        ReadingBatch batch = new();
        long sum = 0;
        while (reader.TryRead(batch))
        {
            for (int i = 0; i < batch.Count; i++)
                sum += batch.Reading(i).Ticks;
        }
        return sum;
    }
}
