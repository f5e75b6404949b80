using Dancerwatch.Bench.Speed.Traces;
using Dancerwatch.EdgeAgent.Commands.Replays;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Recording;

namespace Dancerwatch.Bench.Speed;

/// <summary>History through the whole analysis, as <c>dancerwatch replay</c> does it.</summary>
internal static class Replay
{
    private const int Readings = 720_000;
    private const int MonthReadings = 30 * 86_400 * 50;

    public static async Task RunAsync()
    {
        Trace trace = Trace.Record(900, readsAll: true);
        using TraceFiles files = new(trace, machines: 2, Readings, csvOf: 2);
        DecodeParquet(files);
        DecodeCsv(files);
        Rate one = await BestAsync(files, files.Recordings, machines: 1);
        Print("one machine from Parquet", ">= 2000000 readings/s a core", one);
        Print(
            "two machines from Parquet",
            ">= 2000000 readings/s a core",
            await BestAsync(files, files.Recordings, machines: 2)
        );
        Print("one machine from CSV", ">= 1000000 rows/s", await BestAsync(files, files.Csv, machines: 1));
        Print(
            "two machines from CSV",
            ">= 1000000 rows/s",
            await BestAsync(files, files.CsvOf(2), machines: 2)
        );
        Row.Print(
            "a month of one machine at 50 Hz, by the rate of four hours",
            "about 120 s",
            $"{MonthReadings / one.Whole:F0} s"
        );
    }

    /// <summary>A month of one machine really replayed: takes some minutes, and 5 GB of disk meanwhile.</summary>
    public static async Task MonthAsync()
    {
        Trace trace = Trace.Record(900, readsAll: true);
        using TraceFiles files = new(trace, machines: 1, MonthReadings, csvOf: 0);
        Rate month = await ReplayAsync(files, files.Recordings, machines: 1);
        Row.Print(
            "a month of one machine at 50 Hz: 129600000 readings from Parquet",
            "about 120 s",
            $"{MonthReadings / month.Whole:F0} s, {MonthReadings / month.PerCore:F0} s of processor"
        );
    }

    private static void Print(string what, string goal, Rate rate) =>
        Row.Print(
            $"replay of {what}, {Environment.ProcessorCount} cores",
            goal,
            $"{rate.PerCore:F0} a core, {rate.Whole:F0} in all"
        );

    private static void DecodeCsv(TraceFiles files)
    {
        double least = double.PositiveInfinity;
        for (int pass = 0; pass < 3; pass++)
        {
            TimeSpan begun = Environment.CpuUsage.TotalTime;
            using CsvTraceReader reader = new(File.OpenRead(files.Csv), [files.Settings.Machines[0]]);
            while (reader.TryRead(out _)) { }
            least = Math.Min(least, (Environment.CpuUsage.TotalTime - begun).TotalSeconds);
        }
        Row.Print(
            "decoding CSV of 16 signals to readings, no analysis",
            ">= 1000000 rows/s a core",
            $"{Readings / least:F0}"
        );
    }

    private static void DecodeParquet(TraceFiles files)
    {
        double least = double.PositiveInfinity;
        ReadingBatch batch = new();
        for (int pass = 0; pass < 3; pass++)
        {
            TimeSpan begun = Environment.CpuUsage.TotalTime;
            long sum = 0;
            foreach (string machine in RecordingFolder.Open(files.Recordings).Machines)
            {
                using RecordingReader reader = RecordingFolder
                    .Open(files.Recordings)
                    .Read(machine, Period.Ever);
                while (reader.TryRead(batch))
                {
                    for (int i = 0; i < batch.Count; i++)
                        sum += batch.Reading(i).Ticks & 1;
                }
            }
            least = Math.Min(least, (Environment.CpuUsage.TotalTime - begun).TotalSeconds);
        }
        Row.Print(
            "decoding Parquet to readings, no analysis",
            ">= 2000000 readings/s a core",
            $"{files.Readings / least:F0}"
        );
    }

    /// <summary>The quickest of three: the first is still being compiled.</summary>
    private static async Task<Rate> BestAsync(TraceFiles files, string path, int machines)
    {
        Rate best = default;
        for (int pass = 0; pass < 3; pass++)
        {
            Rate rate = await ReplayAsync(files, path, machines);
            best = new Rate(Math.Max(best.Whole, rate.Whole), Math.Max(best.PerCore, rate.PerCore));
        }
        return best;
    }

    private static async Task<Rate> ReplayAsync(TraceFiles files, string path, int machines)
    {
        using Histories histories = new(
            path,
            [.. files.Settings.Machines.Take(machines)],
            files.Settings.Machines,
            Period.Ever
        );
        EventsFile events = new(Stream.Null);
        TimeSpan cpu = Environment.CpuUsage.TotalTime;
        long begun = TimeProvider.System.GetTimestamp();
        await TraceReplay.RunAsync(
            files.Settings,
            [.. files.Settings.Machines.Take(machines)],
            histories,
            events,
            CancellationToken.None
        );
        double seconds = TimeProvider.System.GetElapsedTime(begun).TotalSeconds;
        double busy = (Environment.CpuUsage.TotalTime - cpu).TotalSeconds;
        Console.WriteLine(
            $"  {Path.GetFileName(path)}, machines: {machines}: {histories.Rows} readings in {seconds:F2} s by the clock, {busy:F2} s of processor, {events.Count} events, {Environment.WorkingSet / 1e6:F0} MB"
        );
        return new Rate(histories.Rows / seconds, histories.Rows / busy);
    }

    /// <summary>Readings a second, by the clock and by processor time.</summary>
    private readonly record struct Rate(double Whole, double PerCore);
}
