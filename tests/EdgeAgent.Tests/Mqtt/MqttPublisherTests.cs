using System.Buffers;
using System.Text;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Outbox;
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
        await Eventually.IsTrueAsync(
            () => bench.Outbox.Waiting == 0,
            "the event is acknowledged",
            seconds: 20
        );
        Assert.Single(scada.Heard, message => message.Topic.EndsWith("/event", StringComparison.Ordinal));
    }

    [Fact]
    public async Task States_are_retained_for_whoever_comes_later()
    {
        await using PublisherBench bench = new(Settings);
        await using (ListeningClient first = await ListeningClient.ConnectAsync(_broker.Port))
            await first.NextAsync($"{PublisherBench.Machine}/state/film-path");

        await using ListeningClient later = await ListeningClient.ConnectAsync(_broker.Port);

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
        Assert.Equal(1, bench.Outbox.Waiting);

        _broker = await EmbeddedBroker.StartAsync(port);
        await using ListeningClient scada = await ListeningClient.ConnectAsync(port);

        await scada.NextAsync($"{PublisherBench.Machine}/event");
        await scada.NextAsync($"{PublisherBench.Machine}/state/fill");
    }

    [Theory]
    [InlineData(MqttPubAckReasonCode.NotAuthorized, "NotAuthorized")]
    [InlineData(MqttPubAckReasonCode.PayloadFormatInvalid, "PayloadFormatInvalid")]
    [InlineData((MqttPubAckReasonCode)0x95, "PacketTooLarge")]
    public async Task An_event_the_broker_rejects_is_told_as_lost_and_those_behind_it_go_on(
        MqttPubAckReasonCode answer,
        string word
    )
    {
        Answer(payload => payload.Contains(":0\"", StringComparison.Ordinal) ? answer : null);
        await using ListeningClient scada = await ListeningClient.ConnectAsync(_broker.Port);
        await using PublisherBench bench = new(Settings);
        bench.Outbox.Raise(Machines.Event(Machines.LimitApproach));
        bench.Outbox.Raise(Machines.Event(Machines.LimitApproach with { Step = 1 }));

        MqttApplicationMessage second = await scada.NextAsync($"{PublisherBench.Machine}/event");
        MqttApplicationMessage lost = await scada.NextAsync($"{PublisherBench.Agent}/event");

        Assert.EndsWith(
            ":1",
            ListeningClient.JsonOf(second).GetProperty("id").GetString(),
            StringComparison.Ordinal
        );
        Assert.True(ReceivedLoss.TryRead(lost.Payload.ToArray(), out ReceivedLoss? loss));
        Assert.Equal(("dancerwatch", new LostRange(1, 1, 1)), (loss.Agent, loss.Lost));
        Assert.Equal("application/cloudevents+json", lost.ContentType);
        string told = await bench.Logs.NextAsync(2012);
        Assert.Contains(":0", told, StringComparison.Ordinal);
        Assert.Contains(word, told, StringComparison.Ordinal);
        Assert.Equal(1, bench.Outbox.Rejected);
    }

    [Fact]
    public async Task A_forbidden_topic_is_told_once_with_the_remedy_and_the_states_go_on()
    {
        Answer(_ => MqttPubAckReasonCode.NotAuthorized);
        await using PublisherBench bench = new(Settings);
        for (int step = 0; step < 3; step++)
            bench.Outbox.Raise(Machines.Event(Machines.LimitApproach with { Step = step }));

        string told = await bench.Logs.NextAsync(2010);
        await Eventually.IsTrueAsync(() => bench.Outbox.Rejected == 3, "all three were rejected");

        Assert.Contains($"{PublisherBench.Machine}/event", told, StringComparison.Ordinal);
        Assert.Contains("access list", told, StringComparison.Ordinal);
        // Of the topic of its events once, and once of the topic where they are told as lost.
        Assert.Equal(2, bench.Logs.Entries.Count(entry => entry.Id == 2010));
        await using ListeningClient scada = await ListeningClient.ConnectAsync(_broker.Port);
        await scada.NextAsync($"{PublisherBench.Machine}/state/fill");
    }

    [Fact]
    public async Task An_event_the_broker_cannot_take_now_is_offered_again()
    {
        int offers = 0;
        Answer(_ => Interlocked.Increment(ref offers) == 1 ? MqttPubAckReasonCode.QuotaExceeded : null);
        await using ListeningClient scada = await ListeningClient.ConnectAsync(_broker.Port);
        await using PublisherBench bench = new(Settings);

        bench.Outbox.Raise(Machines.Event(Machines.LimitApproach));

        await scada.NextAsync($"{PublisherBench.Machine}/event");
        await Eventually.IsTrueAsync(() => bench.Outbox.Waiting == 0, "the event is acknowledged");
        Assert.Equal((0, 2), (bench.Outbox.Lost, offers));
    }

    [Fact]
    public async Task An_event_the_broker_hangs_up_for_is_rejected_once_it_was_sent_alone()
    {
        int hungUp = 0;
        _broker.Server.InterceptingPublishAsync += async publish =>
        {
            string payload = Encoding.UTF8.GetString(publish.ApplicationMessage.Payload.ToArray());
            if (!payload.Contains("limit-approach:1795595400250:0\"", StringComparison.Ordinal))
                return;
            publish.ProcessPublish = false;
            Interlocked.Increment(ref hungUp);
            await _broker.Server.DisconnectClientAsync(
                publish.ClientId,
                new MqttServerClientDisconnectOptions { ReasonCode = MqttDisconnectReasonCode.NotAuthorized }
            );
        };
        await using ListeningClient scada = await ListeningClient.ConnectAsync(_broker.Port);
        await using PublisherBench bench = new(Settings);
        bench.Outbox.Raise(Machines.Event(Machines.LimitApproach));
        bench.Outbox.Raise(Machines.Event(Machines.LimitApproach with { Step = 1 }));

        await scada.NextAsync($"{PublisherBench.Machine}/event");
        await scada.NextAsync($"{PublisherBench.Agent}/event");

        Assert.Equal((2, 1), (hungUp, bench.Outbox.Rejected));
        Assert.Contains("NotAuthorized", await bench.Logs.NextAsync(2012), StringComparison.Ordinal);
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

    /// <summary>Has the broker give another answer than it would to an event of this payload.</summary>
    private void Answer(Func<string, MqttPubAckReasonCode?> answer) =>
        _broker.Server.InterceptingPublishAsync += publish =>
        {
            if (
                publish.ApplicationMessage.Topic.EndsWith("/event", StringComparison.Ordinal)
                && answer(Encoding.UTF8.GetString(publish.ApplicationMessage.Payload.ToArray())) is { } given
            )
            {
                publish.ProcessPublish = false;
                publish.Response.ReasonCode = given;
            }
            return Task.CompletedTask;
        };
}
