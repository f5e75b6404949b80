using Dancerwatch.EndToEnd.Tests.Broker;

namespace Dancerwatch.EndToEnd.Tests.Outbox;

/// <summary>The daemon killed at moments nobody chose, under a load no hall gives, with a broker that also has its moods.</summary>
public sealed class KillTests
{
    private static readonly TimeSpan s_latestKill = TimeSpan.FromSeconds(1.2);

    [Fact]
    public async Task Killed_again_and_again_every_event_that_was_on_disk_arrives_or_is_told_as_lost()
    {
        int kills = Torture.Rounds(usual: 10, atLength: 100);
        CancellationToken cancellation = TestContext.Current.CancellationToken;
        Random random = Torture.Chance();
        await using MosquittoHall broker = new();
        await broker.StartAsync();
        await using ToolProcess scada = broker.SubscribeToEvents();
        await using RestlessHall hall = new();
        using StateDirectory state = new();
        string configuration = state.PathOf("hall.jsonc");
        await File.WriteAllTextAsync(
            configuration,
            hall.Configuration(broker.SettingsFor("dancerwatch"), state.Place),
            cancellation
        );

        Dictionary<long, string> kept = [];
        List<string> contradictions = [];
        int mostWaiting = 0;
        for (int kill = 0; kill < kills; kill++)
        {
            bool brokerSleeps = random.Next(3) == 0;
            await using (AgentProcess agent = AgentProcess.Start(configuration))
            {
                // Mostly in the thick of it, now and then while it starts.
                if (random.Next(5) > 0)
                    await agent.LogsAsync("data-lost raised");
                if (brokerSleeps)
                    await broker.PauseAsync();
                await Task.Delay(s_latestKill * random.NextDouble(), cancellation);
                Assert.True(agent.Runs, string.Join('\n', agent.Log.TakeLast(5)));
            }
            if (brokerSleeps)
                await broker.ResumeAsync();
            Dictionary<long, string> waiting = state.Kept();
            foreach ((long number, string id) in waiting)
            {
                if (kept.TryGetValue(number, out string? before) && before != id)
                    contradictions.Add($"{number} was {before} on disk and is {id}");
                kept[number] = id;
            }
            mostWaiting = Math.Max(mostWaiting, waiting.Count);
        }

        long last = await AgentProcess.DrainAsync(
            configuration,
            state,
            number => Delivery.ReachesAsync(scada, number)
        );

        Delivery delivery = new(scada.Lines);
        Torture.Say(
            $"{kills} kills: {last} numbers given, {delivery.Arrived.Count} events arrived, {delivery.Lost.Count} told as lost, "
                + $"{delivery.Repeats} sent again; {kept.Count} were seen on disk after a kill, up to {mostWaiting} at a time"
        );
        Assert.Empty(contradictions);
        Assert.Empty(delivery.Contradictions);
        Assert.Empty(delivery.Missing(last));
        Assert.All(
            kept,
            was => Assert.True(delivery.HasArrived(was.Value) || delivery.Lost.Contains(was.Key), was.Value)
        );
        Assert.Empty(delivery.Lost);
        // One at most is on its way when the process is killed.
        Assert.InRange(delivery.Repeats, 0, kills);
        Assert.InRange(delivery.Arrived.Count, kills * 5, int.MaxValue);
    }
}
