using System.Buffers;
using System.Text;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Mqtt.Sparkplug;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Tests.Outbox;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Readings;
using MQTTnet;
using MQTTnet.Protocol;
using MQTTnet.Server;
using Judged = Dancerwatch.EdgeAgent.Tests.Mqtt.Sparkplug.Generated;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt.Sparkplug;

/// <summary>The node and a broker: what is said over which connection, and what becomes of what hosts say.</summary>
public sealed class SparkplugNodeTests : IAsyncLifetime
{
    private const string Birth = "spBv1.0/leafside/NBIRTH/tea-hall";
    private const string Death = "spBv1.0/leafside/NDEATH/tea-hall";
    private const string Command = "spBv1.0/leafside/NCMD/tea-hall";
    private const string HostState = "spBv1.0/STATE/scada";
    private EmbeddedBroker _broker = null!;

    public async ValueTask InitializeAsync() => _broker = await EmbeddedBroker.StartAsync();

    public ValueTask DisposeAsync() => _broker.DisposeAsync();

    [Fact]
    public async Task Born_with_its_device_it_dies_by_its_own_word_when_it_is_stopped()
    {
        await using ListeningClient host = await ListeningClient.ConnectAsync(_broker.Port, "spBv1.0/#");
        await using NodeBench bench = new(Settings);
        MqttApplicationMessage birth = await host.NextAsync(Birth);
        MqttApplicationMessage device = await host.NextAsync("spBv1.0/leafside/DBIRTH/tea-hall/tea-1");
        Assert.Equal(MqttQualityOfServiceLevel.AtMostOnce, birth.QualityOfServiceLevel);
        Assert.Equal(50, Payload(device).Metrics.Single(metric => metric.Name == "fill/fill").DoubleValue);

        await bench.StopAsync();

        MqttApplicationMessage death = await host.NextAsync(Death);
        Assert.Equal(Connection(birth), Connection(death));
        Assert.DoesNotContain(host.Heard, message => message.Retain);
    }

    [Fact]
    public async Task A_connection_that_breaks_has_the_will_speak_and_the_next_has_another_number()
    {
        await using ListeningClient host = await ListeningClient.ConnectAsync(_broker.Port, "spBv1.0/#");
        await using NodeBench bench = new(Settings);
        await host.NextAsync(Birth);

        await _broker.Server.DisconnectClientAsync(
            "dancerwatch-sparkplug",
            new MqttServerClientDisconnectOptions
            {
                ReasonCode = MqttDisconnectReasonCode.AdministrativeAction,
            }
        );

        Assert.Equal(0UL, Connection(await host.NextAsync(Death)));
        await Eventually.IsTrueAsync(
            () => host.Heard.Any(message => message.Topic == Birth && Connection(message) == 1),
            seconds: 20
        );
    }

    [Fact]
    public async Task Attempts_that_reach_no_broker_use_up_no_number()
    {
        int port = _broker.Port;
        await _broker.DisposeAsync();
        await using NodeBench bench = new(Settings with { Port = port });
        await bench.Logs.NextAsync(2001);
        await Eventually.IsTrueAsync(
            () => bench.Logs.Entries.Count(entry => entry.Id is 2001 or 2002) > 2,
            seconds: 20
        );

        _broker = await EmbeddedBroker.StartAsync(port);
        await using ListeningClient host = await ListeningClient.ConnectAsync(port, "spBv1.0/#");
        await host.TellAsync(Command, Rebirth());

        Assert.Equal(0UL, Connection(await host.NextAsync(Birth)));
    }

    [Fact]
    public async Task Asked_for_births_it_says_them_once_more_and_to_a_flood_no_more_than_that()
    {
        await using ListeningClient host = await ListeningClient.ConnectAsync(_broker.Port, "spBv1.0/#");
        await using NodeBench bench = new(Settings);
        await host.NextAsync(Birth);

        for (int i = 0; i < 500; i++)
            await host.TellAsync(Command, Rebirth());
        await bench.Logs.NextAsync(2053);
        await Eventually.IsTrueAsync(() => bench.Counters.RebirthsRefused >= 498, seconds: 20);

        await Eventually.IsTrueAsync(() => bench.Counters.Births == 2);
        Assert.Single(bench.Logs.Entries, entry => entry.Id == 2053);
        // The data goes on meanwhile.
        await host.NextAsync("spBv1.0/leafside/NDATA/tea-hall");
    }

    [Fact]
    public async Task A_foreign_payload_on_the_command_topic_is_told_once_and_disturbs_nothing()
    {
        await using ListeningClient host = await ListeningClient.ConnectAsync(_broker.Port, "spBv1.0/#");
        await using NodeBench bench = new(Settings);
        await host.NextAsync(Birth);

        for (int i = 0; i < 20; i++)
            await host.TellAsync(Command, "{\"rebirth\": true}"u8.ToArray());
        await host.TellAsync(Command, new byte[40_000]);

        string told = await bench.Logs.NextAsync(2054);
        Assert.Contains(Command, told, StringComparison.Ordinal);
        Assert.Contains("no Sparkplug B payload", told, StringComparison.Ordinal);
        Assert.Contains("Node Control/Rebirth = true", told, StringComparison.Ordinal);
        await Eventually.IsTrueAsync(() => bench.Counters.CommandsIgnored == 21, seconds: 20);
        Assert.Single(bench.Logs.Entries, entry => entry.Id == 2054);
        Assert.Equal(1, bench.Counters.Births);
        bench.Outbox.Raise(Machines.Event(Machines.LimitApproach));
        await Eventually.IsTrueAsync(() => bench.Counters.Events == 1, seconds: 20);
    }

    [Fact]
    public async Task It_waits_for_its_primary_host_and_ends_the_connection_when_that_leaves()
    {
        await using ListeningClient host = await ListeningClient.ConnectAsync(_broker.Port, "spBv1.0/#");
        await using NodeBench bench = new(Settings with { PrimaryHost = "scada" });
        bench.Outbox.Raise(Machines.Event(Machines.LimitApproach));
        Assert.Contains("'scada'", await bench.Logs.NextAsync(2051), StringComparison.Ordinal);
        await host.TellAsync("spBv1.0/STATE/another", Says(online: true, timestamp: 5));
        await host.TellAsync(HostState, Says(online: false, timestamp: 5));
        await host.TellAsync(Command, Rebirth());
        Assert.DoesNotContain(host.Heard, message => message.Topic == Birth);
        Assert.Equal(1, bench.Outbox.Waiting);

        await host.TellAsync(HostState, Says(online: true, timestamp: 6));
        await host.NextAsync(Birth);
        await Eventually.IsTrueAsync(() => bench.Outbox.Waiting == 0, seconds: 20);

        await host.TellAsync(HostState, Says(online: false, timestamp: 6));
        await bench.Logs.NextAsync(2052);
        Assert.Equal(0UL, Connection(await host.NextAsync(Death)));
        await Eventually.IsTrueAsync(
            () => bench.Logs.Entries.Count(entry => entry.Id == 2051) == 2,
            seconds: 20
        );
        Assert.Single(host.Heard, message => message.Topic == Birth);
    }

    [Fact]
    public async Task What_happens_while_the_broker_is_away_is_sent_as_history_when_it_is_back()
    {
        int port = _broker.Port;
        await using NodeBench bench = new(Settings with { PrimaryHost = "scada" });
        await bench.Logs.NextAsync(2051);
        await _broker.DisposeAsync();
        await bench.Logs.NextAsync(2003);
        bench.Outbox.Raise(Machines.Event(Machines.LimitApproach with { Ticks = 0 }));
        await bench.Logs.NextAsync(2001);
        Assert.Equal(1, bench.Outbox.Waiting);

        _broker = await EmbeddedBroker.StartAsync(port);
        await using ListeningClient host = await ListeningClient.ConnectAsync(port, "spBv1.0/#");
        // It waits for this one, which then hears all of it.
        await Eventually.IsTrueAsync(
            () => bench.Logs.Entries.Count(entry => entry.Id == 2051) == 2,
            seconds: 20
        );
        await host.TellAsync(HostState, Says(online: true, timestamp: 1));

        MqttApplicationMessage told = await host.NextAsync("spBv1.0/leafside/NDATA/tea-hall");
        Assert.All(Payload(told).Metrics, metric => Assert.True(metric.IsHistorical));
        await Eventually.IsTrueAsync(() => bench.Outbox.Waiting == 0, seconds: 20);
    }

    [Fact]
    public async Task Stopped_before_it_was_born_it_publishes_nothing()
    {
        await using ListeningClient host = await ListeningClient.ConnectAsync(_broker.Port, "spBv1.0/#");
        await using NodeBench bench = new(Settings with { PrimaryHost = "scada" });
        await bench.Logs.NextAsync(2051);

        await bench.StopAsync();

        // One broker, one order: what the node had said would stand before it. (This broker says no will after a goodbye.)
        await host.TellAsync("spBv1.0/the/end", []);
        await host.NextAsync("spBv1.0/the/end");
        Assert.Single(host.Heard);
    }

    private SparkplugSettings Settings =>
        new()
        {
            Host = "127.0.0.1",
            Port = _broker.Port,
            GroupId = "leafside",
            EdgeNodeId = "tea-hall",
            IntervalSeconds = 0.1,
        };

    private static Judged.Payload Payload(MqttApplicationMessage message) =>
        Judged.Payload.Parser.ParseFrom(message.Payload.ToArray());

    private static ulong Connection(MqttApplicationMessage message) =>
        Payload(message).Metrics.Single(metric => metric.Name == "bdSeq").LongValue;

    private static byte[] Says(bool online, long timestamp) =>
        Encoding.UTF8.GetBytes(
            $$"""{"online": {{(online ? "true" : "false")}}, "timestamp": {{timestamp}}}"""
        );

    private static byte[] Rebirth() =>
        Google.Protobuf.MessageExtensions.ToByteArray(
            new Judged.Payload
            {
                Metrics =
                {
                    new Judged.Metric { Name = "Node Control/Rebirth", BooleanValue = true },
                },
            }
        );

    /// <summary>A node that runs, with one machine that has been read once.</summary>
    private sealed class NodeBench : IAsyncDisposable
    {
        private readonly CancellationTokenSource _stop = new();
        private readonly SparkplugNode _node;
        private readonly Task _running;

        public NodeBench(SparkplugSettings settings)
        {
            MonotonicClock clock = new(TimeProvider.System);
            Outbox = Outboxes.InMemory(capacity: 100, TimeProvider.System);
            MachineWatch watch = new(Machines.Tea1, Machines.Settings, clock.ToWallClock, Outbox);
            SignalValues values = SignalValues.Unknown;
            values[Signal.Gap] = 2_050;
            values[Signal.UnwindSpeed] = 18;
            watch.Process(new Reading(clock.Ticks, values, Quality.Good));
            _node = new SparkplugNode(settings, () => [watch], Outbox, folder: null, clock, Logs);
            _running = _node.RunAsync(_stop.Token);
        }

        public EventOutbox Outbox { get; }

        public NodeCounters Counters => _node.Counters;

        public RecordingLogger<SparkplugNode> Logs { get; } = new();

        public async Task StopAsync()
        {
            await _stop.CancelAsync();
            await _running.WaitAsync(TimeSpan.FromSeconds(20));
        }

        public async ValueTask DisposeAsync()
        {
            await StopAsync();
            _stop.Dispose();
            _node.Dispose();
            await Outbox.DisposeAsync();
        }
    }
}
