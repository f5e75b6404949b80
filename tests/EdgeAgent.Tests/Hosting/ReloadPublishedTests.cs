using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Tests.Mqtt;

namespace Dancerwatch.EdgeAgent.Tests.Hosting;

/// <summary>What a subscriber hears of a reload.</summary>
public sealed class ReloadPublishedTests
{
    private const string Tea = "dancerwatch/v1/leafside/tea-hall/line-1/tea";

    [Fact]
    public async Task A_machine_taken_out_is_told_as_cleared_and_offline_and_one_put_in_as_online()
    {
        await using EmbeddedBroker broker = await EmbeddedBroker.StartAsync();
        await using ListeningClient scada = await ListeningClient.ConnectAsync(broker.Port);
        await using TestHall tea = new("tea", machines: 3);
        using GatedLog log = new();
        AgentSettings settings = TestHall.Watching([tea.Settings], tea.Machine(1), tea.Machine(2)) with
        {
            Mqtt = new MqttSettings
            {
                Host = "127.0.0.1",
                Port = broker.Port,
                StateIntervalSeconds = 0.2,
            },
        };
        await using RunningAgent running = new(settings, log);
        await scada.NextAsync(
            $"{Tea}-2/state/fill",
            json => json.GetProperty("quality").GetString() == "good"
        );
        tea.Lose(2);
        await scada.NextAsync(
            $"{Tea}-2/state/conditions",
            json => json.GetProperty("raised").GetInt32() == 1
        );

        AgentSettings next = settings with { Machines = [tea.Machine(1), tea.Machine(3)] };
        Assert.Empty(await running.Agent.ReloadAsync(next));

        await scada.NextAsync(
            $"{Tea}-2/event",
            json => json.GetProperty("data").GetProperty("state").GetString() == "cleared"
        );
        await scada.NextAsync($"{Tea}-2/status", json => json.GetProperty("status").GetString() == "offline");
        await scada.NextAsync($"{Tea}-3/status", json => json.GetProperty("status").GetString() == "online");
        Assert.Equal(
            0,
            ListeningClient
                .JsonOf(scada.Heard.Last(message => message.Topic == $"{Tea}-2/state/conditions"))
                .GetProperty("raised")
                .GetInt32()
        );
        Assert.DoesNotContain(
            scada.Heard.Where(message => message.Topic == $"{Tea}-1/status"),
            message => ListeningClient.JsonOf(message).GetProperty("status").GetString() == "offline"
        );
    }
}
