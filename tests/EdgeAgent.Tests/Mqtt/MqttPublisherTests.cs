using System.Text.Json;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Tests.Watching;
using MQTTnet;
using MQTTnet.Protocol;
using MQTTnet.Server;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt;

public sealed class MqttPublisherTests : IAsyncLifetime
{
    private EmbeddedBroker _broker = null!;

    public async ValueTask InitializeAsync() => _broker = await EmbeddedBroker.StartAsync();

    public ValueTask DisposeAsync() => _broker.DisposeAsync();

    private MqttSettings Settings =>
        new()
        {
            Host = "127.0.0.1",
            Port = _broker.Port,
            StateIntervalSeconds = 0.1,
        };

    [Fact]
    public async Task An_event_arrives_once_at_QoS_1_not_retained_with_expiry_and_content_type()
    {
        await using ListeningClient scada = await ListeningClient.ConnectAsync(_broker.Port);
        await using PublisherBench bench = new(Settings with { EventExpirySeconds = 600 });

        bench.Outbox.Raise(Machines.Event(Machines.LimitApproach));

        MqttApplicationMessage heard = await scada.NextAsync($"{PublisherBench.Machine}/event");
        Assert.Equal(MqttQualityOfServiceLevel.AtLeastOnce, heard.QualityOfServiceLevel);
        Assert.False(heard.Retain);
        Assert.InRange(heard.MessageExpiryInterval, 590u, 600u);
        Assert.Equal("application/cloudevents+json", heard.ContentType);
        Assert.Equal(MqttPayloadFormatIndicator.CharacterData, heard.PayloadFormatIndicator);
        await Eventually.IsTrueAsync(() => bench.Outbox.Count == 0, "the event is acknowledged", seconds: 20);
        Assert.Single(scada.Heard, message => message.Topic.EndsWith("/event", StringComparison.Ordinal));
    }

    [Fact]
    public async Task States_are_retained_for_whoever_comes_later()
    {
        await using PublisherBench bench = new(Settings);
        await using (ListeningClient first = await ListeningClient.ConnectAsync(_broker.Port))
            await first.NextAsync($"{PublisherBench.Machine}/state/roll");

        await using ListeningClient later = await ListeningClient.ConnectAsync(_broker.Port);

        foreach (string name in new[] { "fill", "bands", "oscillation", "margin", "conditions", "roll" })
        {
            MqttApplicationMessage state = await later.NextAsync($"{PublisherBench.Machine}/state/{name}");
            Assert.Equal("application/json", state.ContentType);
            Assert.Equal("tea-1", ListeningClient.JsonOf(state).GetProperty("machine").GetString());
        }
        Assert.True((await later.NextAsync($"{PublisherBench.Machine}/state/fill")).Retain);
    }

    [Fact]
    public async Task Stopping_says_offline_for_the_agent_and_for_its_machines()
    {
        await using ListeningClient scada = await ListeningClient.ConnectAsync(_broker.Port);
        await using PublisherBench bench = new(Settings);
        await scada.NextAsync($"{PublisherBench.Agent}/status", Says("online"));

        await bench.StopAsync();

        MqttApplicationMessage agent = await scada.NextAsync(
            $"{PublisherBench.Agent}/status",
            Says("offline")
        );
        // Said by ourselves: a will could not know the time.
        Assert.Equal(JsonValueKind.Number, ListeningClient.JsonOf(agent).GetProperty("ts").ValueKind);
        await scada.NextAsync($"{PublisherBench.Machine}/status", Says("offline"));
    }

    [Fact]
    public async Task A_connection_that_breaks_has_the_last_will_speak()
    {
        await using ListeningClient scada = await ListeningClient.ConnectAsync(_broker.Port);
        await using PublisherBench bench = new(Settings);
        await scada.NextAsync($"{PublisherBench.Agent}/status", Says("online"));

        await _broker.Server.DisconnectClientAsync(
            "dancerwatch",
            new MqttServerClientDisconnectOptions
            {
                ReasonCode = MqttDisconnectReasonCode.AdministrativeAction,
            }
        );

        MqttApplicationMessage will = await scada.NextAsync(
            $"{PublisherBench.Agent}/status",
            Says("offline")
        );
        Assert.Equal(JsonValueKind.Null, ListeningClient.JsonOf(will).GetProperty("ts").ValueKind);
    }

    [Fact]
    public async Task Events_wait_while_the_broker_is_away_and_arrive_when_it_is_back()
    {
        int port = _broker.Port;
        await using PublisherBench bench = new(Settings);
        await bench.Logs.NextAsync(2000);
        await _broker.DisposeAsync();
        await bench.Logs.NextAsync(2003);
        bench.Outbox.Raise(Machines.Event(Machines.LimitApproach));
        await bench.Logs.NextAsync(2001);
        Assert.Equal(1, bench.Outbox.Count);

        _broker = await EmbeddedBroker.StartAsync(port);
        await using ListeningClient scada = await ListeningClient.ConnectAsync(port);

        await scada.NextAsync($"{PublisherBench.Machine}/event");
        await scada.NextAsync($"{PublisherBench.Machine}/state/fill");
    }

    [Fact]
    public async Task A_refused_publish_is_told_once_with_topic_and_remedy_and_the_event_is_kept()
    {
        _broker.Server.InterceptingPublishAsync += publish =>
        {
            if (publish.ApplicationMessage.Topic.EndsWith("/event", StringComparison.Ordinal))
            {
                publish.ProcessPublish = false;
                publish.Response.ReasonCode = MqttPubAckReasonCode.NotAuthorized;
            }
            return Task.CompletedTask;
        };
        await using PublisherBench bench = new(Settings);
        bench.Outbox.Raise(Machines.Event(Machines.LimitApproach));

        string told = await bench.Logs.NextAsync(2010);

        Assert.Contains($"{PublisherBench.Machine}/event", told, StringComparison.Ordinal);
        Assert.Contains("access list", told, StringComparison.Ordinal);
        Assert.Equal(1, bench.Outbox.Count);
        // The states go on.
        await using ListeningClient scada = await ListeningClient.ConnectAsync(_broker.Port);
        await scada.NextAsync($"{PublisherBench.Machine}/state/fill");
    }

    [Fact]
    public async Task An_event_no_broker_would_take_is_given_up_and_those_behind_it_go_on()
    {
        int offered = 0;
        _broker.Server.InterceptingPublishAsync += publish =>
        {
            if (
                publish.ApplicationMessage.Topic.EndsWith("/event", StringComparison.Ordinal)
                && Interlocked.Increment(ref offered) == 1
            )
            {
                publish.ProcessPublish = false;
                publish.Response.ReasonCode = MqttPubAckReasonCode.PayloadFormatInvalid;
            }
            return Task.CompletedTask;
        };
        await using ListeningClient scada = await ListeningClient.ConnectAsync(_broker.Port);
        await using PublisherBench bench = new(Settings);
        bench.Outbox.Raise(Machines.Event(Machines.LimitApproach));
        bench.Outbox.Raise(Machines.Event(Machines.LimitApproach with { Step = 1 }));

        MqttApplicationMessage second = await scada.NextAsync($"{PublisherBench.Machine}/event");

        Assert.EndsWith(
            ":1",
            ListeningClient.JsonOf(second).GetProperty("id").GetString(),
            StringComparison.Ordinal
        );
        Assert.Contains(":0", await bench.Logs.NextAsync(2012), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_wrong_password_is_told_with_what_to_check()
    {
        _broker.Server.ValidatingConnectionAsync += connection =>
        {
            connection.ReasonCode = MqttConnectReasonCode.BadUserNameOrPassword;
            return Task.CompletedTask;
        };
        await using PublisherBench bench = new(Settings with { UserName = "tea" });

        string told = await bench.Logs.NextAsync(2001);

        Assert.Contains($"127.0.0.1:{_broker.Port}", told, StringComparison.Ordinal);
        Assert.Contains("'tea'", told, StringComparison.Ordinal);
        Assert.Contains("passwordFile", told, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_port_that_refuses_is_told_as_that()
    {
        MqttSettings settings = Settings;
        await _broker.DisposeAsync();
        await using PublisherBench bench = new(settings);

        Assert.Contains(
            "refuses connections on this port",
            await bench.Logs.NextAsync(2001),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task A_certificate_file_that_is_not_there_is_named()
    {
        MqttSettings settings = Settings with
        {
            Tls = new MqttTlsSettings { CaFile = "/nowhere/hall-ca.pem" },
        };
        await using PublisherBench bench = new(settings);

        string told = await bench.Logs.NextAsync(2001);

        Assert.Contains("caFile /nowhere/hall-ca.pem", told, StringComparison.Ordinal);
    }

    private static Func<JsonElement, bool> Says(string status) =>
        json => json.GetProperty("status").GetString() == status;
}
