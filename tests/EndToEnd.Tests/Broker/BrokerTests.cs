using System.Text.Json;
using Dancerwatch.EdgeAgent;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Telemetry;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Warnings;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EndToEnd.Tests.Broker;

/// <summary>
/// Publishing to a broker we did not write, watched by a subscriber we did not write: Debian's mosquitto and
/// mosquitto_sub.
/// </summary>
public sealed class BrokerTests
{
    private const string Tea1 = "dancerwatch/v1/leafside/tea-hall/line-1/tea-1";

    private static readonly MachineSettings s_machine = new()
    {
        Fill = new FillSettings { GapAtEmpty = 600, GapAtFull = 3_500 },
    };

    [Fact]
    public async Task Events_and_retained_states_arrive_over_TLS_with_a_client_certificate_and_survive_a_killed_broker()
    {
        await using MosquittoHall hall = new();
        await hall.StartAsync();
        await using EventOutbox outbox = Outbox();
        using CancellationTokenSource stop = new();
        Task publishing = Publisher(hall.SettingsFor("dancerwatch"), outbox).RunAsync(stop.Token);

        await using (ToolProcess early = hall.Subscribe())
        {
            // Whoever subscribes after this gets what the broker has retained.
            await early.LineAsync(line => line.Contains($" {Tea1}/state/fill ", StringComparison.Ordinal));
        }

        await using (ToolProcess scada = hall.Subscribe())
        {
            await scada.LineAsync(line =>
                line.StartsWith($"1 1 {Tea1}/state/fill ", StringComparison.Ordinal)
            );
            outbox.Raise(Event(step: 0));
            string heard = await scada.LineAsync(line =>
                line.StartsWith($"0 1 {Tea1}/event ", StringComparison.Ordinal)
            );

            using JsonDocument sent = JsonDocument.Parse(
                heard[heard.IndexOf('{', StringComparison.Ordinal)..]
            );
            Assert.Equal("1.0", sent.RootElement.GetProperty("specversion").GetString());
            Assert.Equal(
                "limit-approach",
                sent.RootElement.GetProperty("data").GetProperty("condition").GetString()
            );
        }

        await hall.KillAsync();
        outbox.Raise(Event(step: 1));
        await hall.StartAsync();

        await using (ToolProcess scada = hall.Subscribe())
        {
            // The restarted broker has forgotten everything; so what it retains was published anew. The event may have
            // passed before the subscriber came, which is what the acknowledgement shows.
            foreach (
                string name in new[]
                {
                    "fill",
                    "bands",
                    "oscillation",
                    "margin",
                    "conditions",
                    "roll",
                    "film-path",
                }
            )
                await scada.LineAsync(line =>
                    line.Contains($" {Tea1}/state/{name} ", StringComparison.Ordinal)
                );
            Assert.Equal(0, outbox.Waiting);

            await stop.CancelAsync();
            await publishing.WaitAsync(TimeSpan.FromSeconds(20), TestContext.Current.CancellationToken);
            await scada.LineAsync(line =>
                line.Contains("/agents/dancerwatch/status ", StringComparison.Ordinal)
                && line.Contains("\"offline\"", StringComparison.Ordinal)
            );
        }
    }

    [Fact]
    public async Task A_broker_that_does_not_let_us_publish_is_told_with_the_topic_and_what_to_do()
    {
        await using MosquittoHall hall = new();
        await hall.StartAsync();
        await using EventOutbox outbox = Outbox();
        outbox.Raise(Event(step: 0));

        // The access list lets scada read and nothing else.
        string told = await FirstErrorAsync(
            hall.SettingsFor("scada"),
            outbox,
            line => line.Contains("/event", StringComparison.Ordinal)
        );

        Assert.Contains($"{Tea1}/event", told, StringComparison.Ordinal);
        Assert.Contains("access list", told, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_client_without_certificate_is_told_that_one_may_be_expected()
    {
        await using MosquittoHall hall = new();
        await hall.StartAsync();
        await using EventOutbox outbox = Outbox();
        MqttSettings settings = hall.SettingsFor("dancerwatch");

        string told = await FirstErrorAsync(
            settings with
            {
                Tls = settings.Tls! with { ClientCertificateFile = null, ClientKeyFile = null },
            },
            outbox
        );

        Assert.Contains("client certificate", told, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_broker_certificate_of_another_authority_is_refused_and_told()
    {
        await using MosquittoHall hall = new();
        using HallCertificates other = new();
        await hall.StartAsync();
        await using EventOutbox outbox = Outbox();
        MqttSettings settings = hall.SettingsFor("dancerwatch");

        string told = await FirstErrorAsync(
            settings with
            {
                Tls = settings.Tls! with { CaFile = other.CaFile },
            },
            outbox
        );

        Assert.Contains("certificate that does not hold", told, StringComparison.Ordinal);
        Assert.Contains(other.CaFile, told, StringComparison.Ordinal);
    }

    /// <summary>Publishes until the log tells of trouble, and returns what it tells.</summary>
    private static async Task<string> FirstErrorAsync(
        MqttSettings settings,
        EventOutbox outbox,
        Func<string, bool>? fits = null
    )
    {
        using CancellationTokenSource stop = new();
        FirstTrouble trouble = new(fits ?? (_ => true));
        Task publishing = Publisher(settings, outbox, trouble).RunAsync(stop.Token);
        string told = await trouble.Told.WaitAsync(
            TimeSpan.FromSeconds(20),
            TestContext.Current.CancellationToken
        );
        await stop.CancelAsync();
        await publishing;
        return told;
    }

    private static MqttPublisher Publisher(
        MqttSettings settings,
        EventOutbox outbox,
        ILogger<MqttPublisher>? logger = null
    )
    {
        MonotonicClock clock = new(TimeProvider.System);
        MachineWatch watch = new(
            new MachinePlace("leafside", "tea-hall", "line-1", "tea-1"),
            s_machine,
            clock.ToWallClock,
            outbox
        );
        SignalValues values = SignalValues.Unknown;
        values[Signal.Gap] = 2_050;
        values[Signal.UnwindSpeed] = 18;
        watch.Process(new Reading(clock.Ticks, values, Quality.Good));
        AgentSettings agent = new()
        {
            Site = "leafside",
            Area = "tea-hall",
            Controllers = [],
            Machines = [],
        };
        return new MqttPublisher(
            agent,
            settings,
            [watch],
            outbox,
            new AgentTelemetry(TimeProvider.System),
            clock,
            logger ?? NullLogger<MqttPublisher>.Instance
        );
    }

    private static EventOutbox Outbox() =>
        EventOutbox.InMemory(
            capacity: 100,
            "/leafside/tea-hall/agents/dancerwatch",
            TimeProvider.System,
            NullLogger.Instance
        );

    private static MachineEvent Event(int step) =>
        new(
            new MachinePlace("leafside", "tea-hall", "line-1", "tea-1"),
            OnsetMilliseconds: 1_795_595_400_250,
            Milliseconds: 1_795_595_400_250,
            new ConditionTransition
            {
                Ticks = 0,
                OnsetTicks = 0,
                Step = step,
                Condition = Condition.LimitApproach,
                State = ConditionState.Raised,
                Priority = Priority.High,
                Side = Side.Full,
                FillPercent = 88,
                MarginPercent = 6,
                SecondsToLimit = 4,
                Probability = 0.9,
                FrequencyHz = double.NaN,
                AmplitudePercent = double.NaN,
                Causes = default,
                Evidence = "Fill rose 31 % in 2.1 s.",
                Check = "Look at the spindle brake, with the machine stopped and locked off.",
            }
        );

    private sealed class FirstTrouble(Func<string, bool> fits) : ILogger<MqttPublisher>
    {
        private readonly TaskCompletionSource<string> _told = new(
            TaskCreationOptions.RunContinuationsAsynchronously
        );

        public Task<string> Told => _told.Task;

        public void Log<TState>(
            LogLevel logLevel,
            EventId eventId,
            TState state,
            Exception? exception,
            Func<TState, Exception?, string> formatter
        )
        {
            string line = formatter(state, exception);
            if (logLevel >= LogLevel.Warning && fits(line))
                _told.TrySetResult(line);
        }

        public bool IsEnabled(LogLevel logLevel) => true;

        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;
    }
}
