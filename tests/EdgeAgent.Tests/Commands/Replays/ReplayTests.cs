using System.Text;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Tests.Configuration;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Tests.Commands.Replays;

public sealed class ReplayTests : IDisposable
{
    private static readonly DateTimeOffset s_zero = new(2026, 11, 25, 6, 0, 0, TimeSpan.Zero);
    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-replay-");
    private readonly string _config;
    private readonly string _trace;
    private readonly string _events;

    public ReplayTests()
    {
        _config = PathOf("config.jsonc");
        _trace = PathOf("trace.csv");
        _events = PathOf("events.jsonl");
        File.WriteAllText(_config, SmallConfiguration.Text);
    }

    public void Dispose() => _directory.Delete(recursive: true);

    [Fact]
    public async Task A_recorded_hour_of_50_Hz_replays_to_the_events_its_readings_gave_when_they_were_read()
    {
        AgentSettings settings = SettingsFile.Load(_config).Settings!;
        Collector live = new();
        WatchedMachineSettings machine = settings.Machines[0];
        MachineWatch watch = new(
            MachinePlace.Of(settings, machine),
            machine.Machine,
            ticks => s_zero.AddTicks(ticks),
            live
        );
        await using (StreamWriter file = new(_trace))
        {
            CsvTraceWriter trace = new(file, settings.Machines);
            foreach (Reading reading in SimulatedHour.Readings())
            {
                trace.Write(0, reading, s_zero.AddTicks(reading.Ticks));
                watch.Process(reading);
            }
        }

        ProgramRun run = await ReplayAsync();

        Assert.Equal(
            $"{SimulatedHour.Count} readings, {live.Payloads.Count} events in {_events}\n",
            run.Output
        );
        Assert.Equal(ExitCodes.Ok, run.Code);
        Assert.NotEmpty(live.Payloads);
        Assert.Equal(
            live.Payloads,
            await File.ReadAllLinesAsync(_events, TestContext.Current.CancellationToken)
        );
    }

    [Fact]
    public async Task A_trace_with_bad_rows_is_replayed_and_its_findings_are_told()
    {
        await File.WriteAllTextAsync(
            _trace,
            "time_s,gap,unwindSpeed\n0.02,2048,12\nnoon,2048,12\n0.04,2048,12\n0.06,20",
            TestContext.Current.CancellationToken
        );

        ProgramRun run = await ReplayAsync();

        Assert.Equal(ExitCodes.Findings, run.Code);
        Assert.Equal(
            $"""
            2 readings, 0 events in {_events}
              LOOK  Row whose time_s is no number of seconds, left out: once, on line 3 (noon)
              LOOK  The last line has no line end, it may be cut and is left out: once, on line 5 (0.06,20)

            """,
            run.Output
        );
    }

    [Fact]
    public async Task A_trace_that_lacks_a_required_column_is_refused_and_no_events_file_is_made()
    {
        await File.WriteAllTextAsync(
            _trace,
            "time_s,gap\n0.02,2048\n",
            TestContext.Current.CancellationToken
        );

        ProgramRun run = await ReplayAsync();

        Assert.Equal(ExitCodes.File, run.Code);
        Assert.Contains("There is no column \"unwindSpeed\"", run.Error, StringComparison.Ordinal);
        Assert.False(File.Exists(_events));
    }

    [Fact]
    public async Task A_machine_the_configuration_does_not_have_is_named_with_those_it_has()
    {
        ProgramRun run = await ReplayAsync("--machine", "tea-9");

        Assert.Equal(ExitCodes.Usage, run.Code);
        Assert.Equal("--machine is \"tea-9\". Allowed: tea-1.\n", run.Error);
    }

    [Fact]
    public async Task A_trace_that_is_not_there_is_told_and_has_an_exit_code_of_its_own()
    {
        ProgramRun run = await ReplayAsync();

        Assert.Equal(ExitCodes.File, run.Code);
        Assert.Contains(_trace, run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task The_trace_itself_is_never_overwritten_by_its_events()
    {
        const string text = "time_s,gap,unwindSpeed\n0.02,2048,12\n";
        await File.WriteAllTextAsync(_trace, text, TestContext.Current.CancellationToken);

        ProgramRun run = await ProgramRun.Of(
            "replay",
            "--config",
            _config,
            "--input",
            _trace,
            "--events",
            _trace
        );

        Assert.Equal(ExitCodes.File, run.Code);
        Assert.Equal(text, await File.ReadAllTextAsync(_trace, TestContext.Current.CancellationToken));
    }

    private Task<ProgramRun> ReplayAsync(params string[] more) =>
        ProgramRun.Of(["replay", "--config", _config, "--input", _trace, "--events", _events, .. more]);

    private string PathOf(string name) => Path.Combine(_directory.FullName, name);

    private sealed class Collector : IEventSink
    {
        public List<string> Payloads { get; } = [];

        public void Raise(MachineEvent raised) =>
            Payloads.Add(Encoding.UTF8.GetString(EventPayload.Of(raised, Payloads.Count + 1)));
    }
}
