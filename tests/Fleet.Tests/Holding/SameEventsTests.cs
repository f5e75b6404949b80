using System.Buffers;
using System.Text;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Hosting;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Tests.Mqtt;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.FilmPath;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.Fleet.Tests.Holding;

/// <summary>One recording through the daemon and through a fleet's host, each to a broker of its own: what arrives is the same, byte by byte.</summary>
public sealed class SameEventsTests
{
    private const double PollSeconds = 0.05;

    private static readonly WatchedMachineSettings s_machine = new()
    {
        Name = "tea-1",
        Line = "line-1",
        Controller = "packing-a",
        Signals =
        [
            new SignalSource(Signal.Gap, new TagRequest("Tea1.DancerGap", TagType.Real)),
            new SignalSource(Signal.UnwindSpeed, new TagRequest("Tea1.UnwindSpeed", TagType.Real)),
            new SignalSource(Signal.Running, new TagRequest("Tea1.Running", TagType.Bool)),
        ],
        Machine = new MachineSettings
        {
            Fill = new FillSettings { GapAtEmpty = 600, GapAtFull = 3_500 },
            PollSeconds = PollSeconds,
            Warnings = new() { DataLost = new(0, 0, 0.3, 0) },
        },
    };

    [Fact]
    public async Task A_recording_gives_the_same_events_from_the_daemon_and_from_a_host_of_a_fleet()
    {
        List<Reading> recording = [.. Recorded(seconds: 150)];

        Task<IReadOnlyList<string>> daemon = ThroughDaemonAsync(recording);
        Task<IReadOnlyList<string>> fleet = ThroughFleetAsync(recording);
        IReadOnlyList<string> expected = await daemon;

        TestContext.Current.TestOutputHelper?.WriteLine(
            $"{recording.Count} readings, {expected.Count} events; the last: {expected[^1]}"
        );
        Assert.True(expected.Count >= 10, $"{expected.Count} events");
        Assert.Equal(expected, await fleet);
    }

    private static async Task<IReadOnlyList<string>> ThroughDaemonAsync(List<Reading> recording)
    {
        await using EmbeddedBroker broker = await EmbeddedBroker.StartAsync();
        await using ListeningClient client = await ListeningClient.ConnectAsync(
            broker.Port,
            "+/v1/+/+/+/+/event"
        );
        PlayedReader? reader = null;
        await using Agent agent = new(
            Settings(broker.Port),
            new PlayedTime(),
            NullLoggerFactory.Instance,
            recordDirectory: null,
            (_, tags, _, _) => reader = new PlayedReader(tags, s_machine, recording)
        );
        using CancellationTokenSource stop = new();
        Task running = agent.RunAsync(stop.Token);
        await reader!.IsOver.Task;
        await stop.CancelAsync();
        await running;
        return Texts(client);
    }

    private static async Task<IReadOnlyList<string>> ThroughFleetAsync(List<Reading> recording)
    {
        await using EmbeddedBroker broker = await EmbeddedBroker.StartAsync();
        await using ListeningClient client = await ListeningClient.ConnectAsync(
            broker.Port,
            "+/v1/+/+/+/+/event"
        );
        PlayedReader? reader = null;
        TestHost host = await TestHost.StartAsync(
            "host-1",
            Settings(broker.Port),
            new TestStorage(),
            new PlayedTime(),
            (_, tags, _, _) => reader = new PlayedReader(tags, s_machine, recording)
        );
        await using (host)
        {
            using CancellationTokenSource release = new();
            (_, Task<string> holding) = host.Hold(release.Token);
            await Eventually.IsTrueAsync(() => reader is not null);
            await reader!.IsOver.Task;
            await release.CancelAsync();
            await holding;
        }
        return Texts(client);
    }

    private static IReadOnlyList<string> Texts(ListeningClient client) =>
        [.. client.Heard.Select(message => Encoding.UTF8.GetString(message.Payload.ToArray()))];

    private static AgentSettings Settings(int broker) =>
        new()
        {
            Site = "leafside",
            Area = "tea-hall",
            Mqtt = new MqttSettings { Host = "127.0.0.1", Port = broker },
            Controllers =
            [
                new ControllerSettings
                {
                    Name = "packing-a",
                    Host = "192.0.2.10",
                    PollMilliseconds = 1,
                },
            ],
            Machines = [s_machine],
        };

    /// <summary>A machine whose loop begins to hunt until it trips, and from which nothing is read now and then.</summary>
    private static IEnumerable<Reading> Recorded(double seconds)
    {
        VirtualDancer dancer = new(
            new MachineParameters(),
            seed: 3,
            [new FaultSchedule(Fault.LoopHunting, 20, 60, 1.5)]
        );
        dancer.Start();
        for (int i = 0; i < seconds / PollSeconds; i++)
        {
            dancer.Advance(PollSeconds);
            if (dancer.IsTripped)
                dancer.ClearTrip();
            else if (!dancer.Image.Running)
                dancer.Start();
            // Half a millisecond from where stamps are cut to milliseconds.
            long ticks = (long)Math.Round(i * PollSeconds * 1000) * TimeSpan.TicksPerMillisecond + 5_000;
            SignalValues values = SignalValues.Unknown;
            values[Signal.Gap] = dancer.Image.GapCounts;
            values[Signal.UnwindSpeed] = (float)dancer.Image.UnwindSpeed;
            values[Signal.Running] = dancer.Image.Running ? 1 : 0;
            yield return i % 400 is > 380 and < 392
                ? Reading.Failed(ticks)
                : new Reading(ticks, values, Quality.Good);
        }
    }

    /// <summary>The system's time, on a day of its own that begins when it is asked first.</summary>
    private sealed class PlayedTime : TimeProvider
    {
        private readonly Lock _gate = new();
        private long? _begun;

        public override long GetTimestamp()
        {
            lock (_gate)
                return System.GetTimestamp() - (_begun ??= System.GetTimestamp());
        }

        public override DateTimeOffset GetUtcNow() =>
            new DateTimeOffset(2026, 11, 25, 8, 0, 0, TimeSpan.Zero) + GetElapsedTime(0);
    }
}
