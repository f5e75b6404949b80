using System.Globalization;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EdgeAgent.Tests.Commands.Replays;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EndToEnd.Tests.Program;

/// <summary>
/// The native program does what the ordinary build does: nothing that only a compiler at run time could make is missing.
/// </summary>
public sealed class PublishedProgramTests
{
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    [Fact]
    public void It_is_no_larger_than_20_MB()
    {
        Assert.InRange(new FileInfo(PublishedProgram.Require()).Length, 1_000_000, 20_000_000);
    }

    [Fact]
    public async Task Its_schema_is_the_committed_one()
    {
        (int code, string said) = await PublishedProgram.RunAsync("schema");

        Assert.Equal(ExitCodes.Ok, code);
        string committed = RepositoryFiles.PathOf("config", "dancerwatch.schema.json");
        Assert.Equal(File.ReadAllText(committed).TrimEnd(), said.TrimEnd());
    }

    [Fact]
    public async Task Its_demo_ends_as_promised()
    {
        (int code, string said) = await PublishedProgram.RunAsync("demo");

        // It says so itself: every trip warned of, and nothing else.
        Assert.True(code == ExitCodes.Ok, said);
        Assert.Contains("machine  tripped", said, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Check_reads_every_tag_of_its_simulated_hall_and_tail_hears_what_run_says_of_it()
    {
        await using SimulatedHall hall = new();
        string config = await hall.ConfigurationAsync();

        (int code, string said) = await PublishedProgram.RunAsync("check", "--config", config);
        Assert.True(code == ExitCodes.Ok, said);
        Assert.EndsWith("Nothing looks wrong.", said, StringComparison.Ordinal);

        await using ToolProcess tail = PublishedProgram.Start("tail", "--broker", hall.Broker);
        await tail.LineAsync(line => line.StartsWith("Listening", StringComparison.Ordinal));
        await using ToolProcess run = PublishedProgram.Start("run", "--config", config);
        await run.LineAsync(line => line.Contains("Connected to controller", StringComparison.Ordinal));
        // The hall goes, and with it every reading: after 3 s that is an event of each machine.
        await hall.Process.InterruptAsync(s_end);
        await run.LineAsync(line => line.Contains("tea-1: data-lost raised", StringComparison.Ordinal));
        await run.EndAsync(s_end);
        Assert.Equal(ExitCodes.Ok, run.ExitCode);
    }

    [Fact]
    public async Task Run_listens_to_nobody()
    {
        await using SimulatedHall hall = new();
        string config = await hall.ConfigurationAsync();
        await using ToolProcess run = PublishedProgram.Start("run", "--config", config);
        await run.LineAsync(line => line.Contains("Connected to controller", StringComparison.Ordinal));
        await run.LineAsync(line => line.Contains("Connected to the broker", StringComparison.Ordinal));

        // The hall listens, so the look finds what there is.
        Assert.Equal(2, ProcessSockets.Listening(hall.Process.Id).Count);
        Assert.Empty(ProcessSockets.Listening(run.Id));
    }

    [Fact]
    public async Task It_serves_its_page_and_reports_what_it_recorded_meanwhile()
    {
        await using SimulatedHall hall = new();
        string config = await hall.ConfigurationAsync();
        int port = LoopbackPort.Free();
        await File.WriteAllTextAsync(
            config,
            (await File.ReadAllTextAsync(config, s_end)).Replace(
                "\"site\":",
                $"\"stateDirectory\": \"state\", \"recordings\": {{ \"leaveFreeMegabytes\": 0 }}, \"statusPage\": {{ \"enabled\": true, \"port\": {port} }}, \"site\":",
                StringComparison.Ordinal
            ),
            s_end
        );
        await using (ToolProcess run = PublishedProgram.Start("run", "--config", config))
        {
            await run.LineAsync(line =>
                line.Contains($"The status page is at http://127.0.0.1:{port}/", StringComparison.Ordinal)
            );
            await run.LineAsync(line => line.Contains("Connected to controller", StringComparison.Ordinal));
            using HttpClient viewer = new() { BaseAddress = new Uri($"http://127.0.0.1:{port}/") };
            string page = await viewer.GetStringAsync("machine/tea-1", s_end);
            foreach (string part in new[] { "/page.css", "/chart.js", "/page.js" })
            {
                Assert.Contains($"\"{part}\"", page, StringComparison.Ordinal);
                Assert.NotEmpty(await viewer.GetStringAsync(part, s_end));
            }
            using StreamReader events = new(await viewer.GetStreamAsync("events?machine=tea-1", s_end));
            string? line;
            do line = await events.ReadLineAsync(s_end);
            while (line is not null && !line.Contains("\"spectrum\"", StringComparison.Ordinal));
            Assert.NotNull(line);
            await run.EndAsync(s_end);
            Assert.Equal(ExitCodes.Ok, run.ExitCode);
        }

        (int code, string said) = await PublishedProgram.RunAsync(
            "report",
            "--config",
            config,
            "--input",
            hall.PathOf("state/recordings"),
            "--machine",
            "tea-1",
            "--time-zone",
            "Europe/Berlin",
            "--html",
            hall.PathOf("tea-1.html")
        );

        Assert.True(code == ExitCodes.Ok, said);
        Assert.Contains("(Europe/Berlin)", said, StringComparison.Ordinal);
        string report = await File.ReadAllTextAsync(hall.PathOf("tea-1.html"), s_end);
        Assert.Contains("uPlot", report, StringComparison.Ordinal);
        Assert.Contains("<h1>tea-1</h1>", report, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Alive_says_whether_there_is_a_run_that_comes_round()
    {
        await using SimulatedHall hall = new();
        string config = await hall.ConfigurationAsync();
        string directory = $"RUNTIME_DIRECTORY={Path.GetDirectoryName(config)}";
        await using ToolProcess before = new("env", directory, PublishedProgram.Require(), "alive");
        Assert.Equal(["No sign of life."], await before.LinesToEndAsync(s_end));
        Assert.Equal(ExitCodes.Findings, before.ExitCode);

        await using ToolProcess run = new("env", directory, PublishedProgram.Require(), "run", "-c", config);
        await run.LineAsync(line => line.Contains("Connected to controller", StringComparison.Ordinal));
        await using ToolProcess alive = new("env", directory, PublishedProgram.Require(), "alive");
        Assert.Contains(
            "sign of life",
            Assert.Single(await alive.LinesToEndAsync(s_end)),
            StringComparison.Ordinal
        );
        Assert.Equal(ExitCodes.Ok, alive.ExitCode);
    }

    [Fact]
    public async Task Replay_tells_the_very_events_that_the_ordinary_build_tells()
    {
        DirectoryInfo directory = Directory.CreateTempSubdirectory("dancerwatch-replay-");
        string trace = Path.Combine(directory.FullName, "hour.csv");
        await File.WriteAllLinesAsync(trace, SimulatedHour.Readings().Select(Row).Prepend(Header), s_end);
        string[] Arguments(string events) =>
            [
                "replay",
                "--config",
                RepositoryFiles.PathOf("config", "tea-hall.jsonc"),
                "--machine",
                "tea-1",
                "--input",
                trace,
                "--events",
                Path.Combine(directory.FullName, events),
            ];

        (int native, string said) = await PublishedProgram.RunAsync(Arguments("native.jsonl"));
        int ordinary = await CommandLine.RunAsync(
            Arguments("ordinary.jsonl"),
            TextWriter.Null,
            TextWriter.Null,
            s_end
        );

        Assert.True(native == ordinary, said);
        string[] events = await File.ReadAllLinesAsync(
            Path.Combine(directory.FullName, "native.jsonl"),
            s_end
        );
        Assert.NotEmpty(events);
        Assert.Equal(
            await File.ReadAllLinesAsync(Path.Combine(directory.FullName, "ordinary.jsonl"), s_end),
            events
        );
        directory.Delete(recursive: true);
    }

    private const string Header = "time_s,quality,gap,unwindSpeed";

    private static string Row(Reading reading) =>
        string.Create(
                CultureInfo.InvariantCulture,
                $"{reading.Ticks / (double)TimeSpan.TicksPerSecond},{(reading.Quality == Quality.Good ? "good" : "bad")},{reading[Signal.Gap]},{reading[Signal.UnwindSpeed]}"
            )
            .Replace("NaN", "", StringComparison.Ordinal);
}
