using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EndToEnd.Tests.Outbox;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EndToEnd.Tests.Recording;

/// <summary>The real program records the virtual hall; programs that are not ours say what it recorded.</summary>
public sealed class RecordingTests
{
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    [Fact]
    public async Task DuckDB_reads_the_very_bits_that_the_poll_loops_read()
    {
        await using RecordedHall hall = new();
        await using (ToolProcess agent = hall.Start("--record", hall.PathOf("csv")))
        {
            await Eventually.IsTrueAsync(() => CountOf(hall) > 500, seconds: 60);
            await agent.EndAsync(s_end);
            Assert.Equal(0, agent.ExitCode);
        }

        // The CSV trace went another way: a queue, a thread and a format of its own.
        IReadOnlyList<WatchedMachineSettings> machines = hall.Settings.Machines;
        List<Reading>[] expected = TraceIn(hall.PathOf("csv"), machines);
        for (int i = 0; i < machines.Count; i++)
        {
            var recorded = DuckDb.Read(hall.Ring, machines[i].Name);
            Assert.InRange(recorded.Count, 500, int.MaxValue);
            Assert.Equal(expected[i].Select(Bits), recorded.Select(row => Bits(row.Reading)));
            Assert.Equal(hall.Read(machines[i].Name).Select(Row), recorded.Select(Row));
        }
    }

    [Fact]
    public async Task What_DuckDB_wrote_is_read_as_the_documentation_says()
    {
        await using RecordedHall hall = new();
        await using (ToolProcess agent = hall.Start())
        {
            await Eventually.IsTrueAsync(() => CountOf(hall) > 500, seconds: 60);
            await agent.EndAsync(s_end);
        }
        string day = hall.PathOf("copy", "machine=tea-1", "day=2026-11-25");
        Directory.CreateDirectory(day);
        DuckDb.Copy(hall.Ring, "tea-1", Path.Combine(day, "000001-0000000000000000.parquet"));

        Assert.Equal(
            hall.Read("tea-1").Select(Row),
            RecordedHall.Read(hall.PathOf("copy"), "tea-1").Select(Row)
        );
    }

    [Fact]
    public async Task Killed_in_the_middle_at_most_5_s_are_missing_and_the_next_start_makes_Parquet_of_the_rest()
    {
        int kills = Torture.Rounds(usual: 2, atLength: 20);
        Random random = Torture.Chance();
        await using RecordedHall hall = new();
        List<long> ends = [];
        for (int kill = 0; kill < kills; kill++)
        {
            await using (hall.Start("--record", hall.PathOf($"csv-{kill + 1}")))
            {
                int before = CountOf(hall);
                await Eventually.IsTrueAsync(() => CountOf(hall) > before + 200, seconds: 60);
                await Task.Delay(TimeSpan.FromSeconds(1.5 * random.NextDouble()), s_end);
                ends.Add(EdgeAgent.Recording.UnixTime.Microseconds(TimeProvider.System.GetUtcNow()));
            }
        }
        await using (ToolProcess agent = hall.Start())
        {
            await agent.LineAsync(line =>
                line.Contains("Every reading is recorded", StringComparison.Ordinal)
            );
            await Eventually.IsTrueAsync(
                () =>
                    !Directory
                        .EnumerateFiles(hall.Ring, $"_{kills:D6}-*.journal", SearchOption.AllDirectories)
                        .Any(),
                seconds: 60
            );
            await agent.EndAsync(s_end);
        }

        IReadOnlyList<WatchedMachineSettings> machines = hall.Settings.Machines;
        List<Reading>[][] traces =
        [
            .. Enumerable.Range(1, kills).Select(kill => TraceIn(hall.PathOf($"csv-{kill}"), machines)),
        ];
        for (int i = 0; i < machines.Count; i++)
        {
            WatchedMachineSettings machine = machines[i];
            var recorded = DuckDb.Read(hall.Ring, machine.Name);
            for (int kill = 0; kill < kills; kill++)
            {
                var run = recorded.Where(row => row.Run == kill + 1).ToList();
                double missing = (ends[kill] - run[^1].Microseconds) / 1e6;
                Torture.Say(
                    $"{machine.Name}, kill {kill + 1}: {run.Count} readings, the last {missing:F2} s missing"
                );
                Assert.InRange(missing, 0, 5);
                // Nothing is missing before: the CSV trace went another way, and was cut elsewhere.
                List<Reading> trace = traces[kill][i];
                Assert.InRange(trace.Count, 100, int.MaxValue);
                long both = Math.Min(trace[^1].Ticks, run[^1].Reading.Ticks);
                Assert.Equal(
                    trace.TakeWhile(reading => reading.Ticks <= both).Select(Bits),
                    run.TakeWhile(row => row.Reading.Ticks <= both).Select(row => Bits(row.Reading))
                );
            }
            Assert.Equal(recorded.Select(Row), hall.Read(machine.Name).Select(Row));
        }
    }

    private static int CountOf(RecordedHall hall) =>
        Directory.Exists(hall.Ring) ? hall.Read("tea-1").Count : 0;

    /// <summary>What each machine's rows of the one CSV trace in a folder say.</summary>
    private static List<Reading>[] TraceIn(string folder, IReadOnlyList<WatchedMachineSettings> machines)
    {
        List<Reading>[] traces = [.. machines.Select(_ => new List<Reading>())];
        using FileStream file = File.OpenRead(Assert.Single(Directory.GetFiles(folder)));
        using CsvTraceReader rows = new(file, machines);
        while (rows.TryRead(out TraceRow row))
            traces[row.Machine].Add(row.Reading);
        return traces;
    }

    private static string Row((long Run, long Microseconds, Reading Reading) row) =>
        $"{row.Run} {row.Microseconds} {Bits(row.Reading)}";

    private static string Bits(Reading reading) =>
        $"{reading.Ticks} {reading.Quality} {string.Join(' ', Enum.GetValues<Signal>().Select(signal => BitConverter.DoubleToInt64Bits(reading[signal])))}";
}
