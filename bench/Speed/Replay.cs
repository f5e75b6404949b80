using Dancerwatch.Bench.Speed.Traces;
using Dancerwatch.EdgeAgent.Commands.Replays;
using Dancerwatch.EdgeAgent.Recording;

namespace Dancerwatch.Bench.Speed;

/// <summary>History through the whole analysis, as <c>dancerwatch replay</c> does it.</summary>
internal static class Replay
{
    private const int Readings = 720_000;
    private const double MonthReadings = 30 * 86_400 * 50.0;

    public static async Task RunAsync()
    {
        Trace trace = Trace.Record(900, readsAll: true);
        using TraceFiles files = new(trace, machines: 2, Readings);
        Decode(files);
        await ReplayAsync("Parquet, one machine", files, files.Recordings, machines: 1);
        (double one, _) = await ReplayAsync("Parquet, one machine", files, files.Recordings, machines: 1);
        (double two, double twoPerCore) = await ReplayAsync(
            "Parquet, two machines",
            files,
            files.Recordings,
            machines: 2
        );
        (double csv, double csvPerCore) = await ReplayAsync(
            "CSV, one machine",
            files,
            files.Csv,
            machines: 1
        );
        Row.Print(
            "replay of two machines from Parquet",
            ">= 2000000 readings/s a core",
            $"{twoPerCore:F0} a core, {two:F0} in all"
        );
        Row.Print(
            "replay of one machine from CSV",
            ">= 1000000 rows/s",
            $"{csv:F0} in all, {csvPerCore:F0} a core"
        );
        Row.Print(
            "a month of one machine at 50 Hz, by the rate of four hours",
            "about 120 s",
            $"{MonthReadings / one:F0} s"
        );
    }

    private static void Decode(TraceFiles files)
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

    /// <returns>Readings a second by the clock, and by processor time.</returns>
    private static async Task<(double Whole, double PerCore)> ReplayAsync(
        string what,
        TraceFiles files,
        string path,
        int machines
    )
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
            $"  {what}: {histories.Rows} readings in {seconds:F2} s by the clock, {busy:F2} s of processor, {events.Count} events"
        );
        return (histories.Rows / seconds, histories.Rows / busy);
    }
}
