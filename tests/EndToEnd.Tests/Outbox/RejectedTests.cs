using System.Text.Json;
using Dancerwatch.EndToEnd.Tests.Broker;

namespace Dancerwatch.EndToEnd.Tests.Outbox;

/// <summary>A broker that does not take some events, or none: they block nothing, are kept for a person, and told as lost.</summary>
public sealed class RejectedTests
{
    private const string AllButTea2 = """
        user dancerwatch
        topic write dancerwatch/v1/leafside/tea-hall/agents/#
        topic write dancerwatch/v1/leafside/tea-hall/line-1/tea-1/#
        topic write dancerwatch/v1/leafside/tea-hall/line-1/tea-3/#
        user scada
        topic read dancerwatch/v1/#

        """;

    [Fact]
    public async Task Events_a_broker_forbids_go_aside_and_those_of_other_machines_arrive_and_once_allowed_theirs_too()
    {
        CancellationToken cancellation = TestContext.Current.CancellationToken;
        await using MosquittoHall broker = new(AllButTea2);
        await broker.StartAsync();
        await using ToolProcess scada = broker.SubscribeToEvents();
        await using RestlessHall hall = new(machines: 3);
        using StateDirectory state = new();
        string configuration = state.PathOf("hall.jsonc");
        await File.WriteAllTextAsync(
            configuration,
            hall.Configuration(broker.SettingsFor("dancerwatch"), state.Place),
            cancellation
        );

        await using AgentProcess agent = AgentProcess.Start(configuration);
        await scada.LineAsync(line => line.Contains("/tea-1/event ", StringComparison.Ordinal));
        await scada.LineAsync(line => line.Contains("/tea-3/event ", StringComparison.Ordinal));
        await scada.LineAsync(line => line.Contains("events.lost", StringComparison.Ordinal));
        Assert.DoesNotContain(scada.Lines, line => line.Contains("/tea-2/event ", StringComparison.Ordinal));
        await broker.SetAccessAsync(MosquittoHall.Access);
        await scada.LineAsync(line => line.Contains("/tea-2/event ", StringComparison.Ordinal));
        long last = await StopAsync(agent, hall, scada, state);

        Delivery delivery = new(scada.Lines);
        string[] aside =
        [
            .. await File.ReadAllLinesAsync(
                Path.Combine(state.Place, "outbox", "rejected.jsonl"),
                cancellation
            ),
        ];
        Torture.Say(
            $"{last} numbers given, {delivery.Arrived.Count} events arrived, {delivery.Lost.Count} told as lost, {aside.Length} kept aside"
        );
        Assert.Empty(delivery.Contradictions);
        Assert.Empty(delivery.Missing(last));
        Assert.Equal(delivery.Lost.Order(), aside.Select(Number));
        Assert.All(aside, line => Assert.Contains("\"machine\":\"tea-2\"", line, StringComparison.Ordinal));
        Assert.Contains(agent.Log, line => line.Contains("access list", StringComparison.Ordinal));
    }

    // Answered with a reason, and announced when connecting: two ways to be a broker of short messages.
    [Theory]
    [InlineData("message_size_limit 550")]
    [InlineData("max_packet_size 650")]
    public async Task Events_too_large_for_the_broker_are_told_as_lost_and_the_connection_stays(
        string setting
    )
    {
        CancellationToken cancellation = TestContext.Current.CancellationToken;
        await using MosquittoHall broker = new(setting: setting);
        await broker.StartAsync();
        await using ToolProcess scada = broker.SubscribeToEvents();
        await using RestlessHall hall = new(machines: 2);
        using StateDirectory state = new();
        string configuration = state.PathOf("hall.jsonc");
        await File.WriteAllTextAsync(
            configuration,
            hall.Configuration(broker.SettingsFor("dancerwatch"), state.Place),
            cancellation
        );

        await using AgentProcess agent = AgentProcess.Start(configuration);
        await Delivery.ReachesAsync(scada, 6);
        long last = await StopAsync(agent, hall, scada, state);

        Delivery delivery = new(scada.Lines);
        Assert.Empty(delivery.Missing(last));
        Assert.Empty(delivery.Arrived);
        Assert.Contains(agent.Log, line => line.Contains("PacketTooLarge", StringComparison.Ordinal));
        Assert.DoesNotContain(agent.Log, line => line.Contains("Lost the broker", StringComparison.Ordinal));
    }

    private static long Number(string line) =>
        long.Parse(
            JsonDocument.Parse(line).RootElement.GetProperty("event").GetProperty("sequence").GetString()!,
            provider: null
        );

    private static async Task<long> StopAsync(
        AgentProcess agent,
        RestlessHall hall,
        ToolProcess scada,
        StateDirectory state
    )
    {
        hall.Quieten();
        Assert.Equal(0, await agent.StopAsync());
        return await AgentProcess.DrainAsync(
            state.PathOf("hall.jsonc"),
            state,
            number => Delivery.ReachesAsync(scada, number)
        );
    }
}
