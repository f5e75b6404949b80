using System.Text;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.EdgeAgent.Tests.Configuration;
using Dancerwatch.EdgeAgent.Tests.Recording;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Signals.Readings;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EdgeAgent.Tests.Commands.Replays;

public sealed class RecordingReplayTests : IDisposable
{
    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-replay-");
    private readonly string _config;
    private readonly string _events;
    private readonly List<string> _live = [];

    public RecordingReplayTests()
    {
        _config = PathOf("config.jsonc");
        _events = PathOf("events.jsonl");
        File.WriteAllText(
            _config,
            SmallConfiguration.With(
                """
                  "machines": [
                """,
                """
                  "machines": [
                    {
                      "name": "tea-2",
                      "line": "line-1",
                      "controller": "packing-a",
                      "signals": {
                        "gap": { "tag": "Tea2.DancerGap", "type": "INT" },
                        "unwindSpeed": { "tag": "Tea2.UnwindSpeed", "type": "REAL" },
                      },
                      "dancer": { "gapAtEmptyCounts": 600, "gapAtFullCounts": 3500 },
                    },
                """
            )
        );
    }

    public void Dispose() => _directory.Delete(recursive: true);

    [Fact]
    public async Task A_recording_replays_to_the_very_events_that_were_told_while_it_was_made()
    {
        await RecordAsync();

        ProgramRun run = await ProgramRun.Of(Arguments("replay", "--events", _events));

        Assert.Equal(ExitCodes.Ok, run.Code);
        Assert.Equal($"{2 * SimulatedHour.Count} readings, {_live.Count} events in {_events}\n", run.Output);
        Assert.Contains(" readings in ", run.Error, StringComparison.Ordinal);
        Assert.NotEmpty(_live);
        Assert.Equal(_live, await File.ReadAllLinesAsync(_events, TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task A_sweep_prints_the_same_each_time_and_says_that_an_hour_is_too_short_to_choose_by()
    {
        await RecordAsync();

        ProgramRun first = await ProgramRun.Of(Arguments("tune", "--try", "margin-low.limitPercent=5,20"));
        ProgramRun second = await ProgramRun.Of(Arguments("tune", "--try", "margin-low.limitPercent=5,20"));

        Assert.Equal(ExitCodes.Ok, first.Code);
        Assert.Equal(first.Output, second.Output);
        Assert.Contains("margin-low.limitPercent=20", first.Output, StringComparison.Ordinal);
        Assert.Contains("too few to choose by", first.Output, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("sensitivity", "--try is \"sensitivity\". Allowed: KEY=VALUE,VALUE.")]
    [InlineData("sensitivity=9", "sensitivity is 9. Allowed: a number from 0.2 to 5.")]
    [InlineData("margin-lo.limitPercent=5", "margin-low")]
    [InlineData("margin-low.limitSeconds=5", "limitPercent")]
    public async Task A_setting_that_cannot_be_tried_is_refused_as_the_configuration_would(
        string tried,
        string complaint
    )
    {
        ProgramRun run = await ProgramRun.Of(Arguments("tune", "--try", tried));

        Assert.Equal(ExitCodes.Usage, run.Code);
        Assert.Contains(complaint, run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_directory_without_recordings_is_told_with_what_to_name()
    {
        ProgramRun run = await ProgramRun.Of(Arguments("replay", "--events", _events));

        Assert.Equal(ExitCodes.File, run.Code);
        Assert.Equal(
            $"{_directory.FullName} holds no recordings. Name the directory of recordings (with folders machine=NAME in it, or in its folder ring).\n",
            run.Error
        );
    }

    [Fact]
    public async Task Machines_of_only_one_of_recording_and_configuration_are_told_and_the_rest_is_replayed()
    {
        await RecordAsync();
        string ring = PathOf(Recorder.RingFolder);
        Directory.Move(Path.Combine(ring, "machine=tea-2"), Path.Combine(ring, "machine=tea-9"));

        ProgramRun run = await ProgramRun.Of(Arguments("replay", "--events", _events));

        Assert.Equal(ExitCodes.Findings, run.Code);
        Assert.StartsWith($"{SimulatedHour.Count} readings, ", run.Output, StringComparison.Ordinal);
        Assert.Contains(
            "LOOK  tea-9 is recorded, but not in the configuration; it is left out",
            run.Output,
            StringComparison.Ordinal
        );
        Assert.Contains("LOOK  tea-2 is not in the recording", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_time_that_is_none_is_told_with_one_that_is()
    {
        ProgramRun run = await ProgramRun.Of(Arguments("replay", "--events", _events, "--from", "noon"));

        Assert.Equal(ExitCodes.Usage, run.Code);
        Assert.Contains(
            "--from is \"noon\". Allowed: a date, with or without a time. Try 2026-11-25T06:00.",
            run.Error,
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task Tail_tells_what_was_and_by_its_exit_code_whether_anything_was()
    {
        await RecordAsync();
        string[] tail =
        [
            "tail",
            "--config",
            _config,
            "--input",
            _directory.FullName,
            "--since",
            "2026-11-25",
            "--history-only",
            "--json",
        ];

        ProgramRun all = await ProgramRun.Of(tail);
        ProgramRun one = await ProgramRun.Of([.. tail, "--machine", "tea-2"]);
        ProgramRun none = await ProgramRun.Of([.. tail, "--condition", "roll-ending"]);

        Assert.Equal((ExitCodes.Findings, ExitCodes.Findings), (all.Code, one.Code));
        Assert.Equal(_live.Select(IdOf), all.Output.TrimEnd('\n').Split('\n').Select(IdOf));
        Assert.All(
            one.Output.TrimEnd('\n').Split('\n'),
            line => Assert.StartsWith("tea-2:", IdOf(line), StringComparison.Ordinal)
        );
        Assert.Equal((ExitCodes.Ok, ""), (none.Code, none.Output));
    }

    private static string? IdOf(string json)
    {
        using JsonDocument document = JsonDocument.Parse(json);
        return document.RootElement.GetProperty("id").GetString();
    }

    /// <summary>Two machines, one a little behind the other, watched and recorded at once; the wall clock is set meanwhile.</summary>
    private async Task RecordAsync()
    {
        AgentSettings settings = SettingsFile.Load(_config).Settings!;
        SetWallClock time = new(new DateTimeOffset(2026, 11, 25, 6, 0, 0, TimeSpan.Zero));
        MonotonicClock clock = new(time);
        Collector events = new(_live);
        await using Recorder recorder = new(
            _directory.FullName,
            new RecordingSettings(),
            clock,
            NullLogger.Instance,
            () => long.MaxValue
        );
        (MachineWatch Watch, IReadingSink Sink)[] machines =
        [
            .. settings.Machines.Select(machine =>
                (
                    new MachineWatch(
                        MachinePlace.Of(settings, machine),
                        machine.Machine,
                        clock.ToWallClock,
                        events
                    ),
                    recorder.For(machine, TimeSpan.FromMilliseconds(20))
                )
            ),
        ];
        long ticks = 0;
        int read = 0;
        foreach (Reading reading in SimulatedHour.Readings())
        {
            time.Advance(TimeSpan.FromTicks(reading.Ticks - ticks));
            ticks = reading.Ticks;
            for (int i = 0; i < machines.Length; i++)
            {
                Reading its = reading with { Ticks = reading.Ticks + i };
                machines[i].Sink.Take(its);
                machines[i].Watch.Process(its);
            }
            if (++read == SimulatedHour.Count / 2)
                time.Set = TimeSpan.FromHours(2);
            if (read % 50 == 0)
            {
                while (recorder.Tend()) { }
            }
        }
    }

    private string[] Arguments(string command, params string[] more) =>
        [command, "--config", _config, "--input", _directory.FullName, .. more];

    private string PathOf(string name) => Path.Combine(_directory.FullName, name);

    private sealed class Collector(List<string> payloads) : IEventSink
    {
        public void Raise(MachineEvent raised) =>
            payloads.Add(Encoding.UTF8.GetString(EventPayload.Of(raised, payloads.Count + 1)));
    }
}
