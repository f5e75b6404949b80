using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EndToEnd.Tests.Broker;

namespace Dancerwatch.EndToEnd.Tests.Outbox;

/// <summary>A broker that is not there, far away, asleep, and that restarts: the daemon runs on, and no event is lost.</summary>
public sealed class BrokerTroubleTests
{
    private static readonly TimeSpan s_while = TimeSpan.FromSeconds(1);

    [Fact]
    public async Task Gone_slow_asleep_and_restarting_it_gets_every_event_in_order()
    {
        int rounds = Torture.Rounds(usual: 2, atLength: 12);
        CancellationToken cancellation = TestContext.Current.CancellationToken;
        await using MosquittoHall broker = new(persistent: true);
        await broker.StartAsync();
        List<string> heard = [];
        // The broker knows the subscriber from now on, and keeps for it what it misses.
        await ListenAsync(broker, heard, _ => Task.CompletedTask);
        await broker.StopAsync();
        MqttSettings settings = broker.SettingsFor("dancerwatch");
        await using RelayedPort far = new(settings.Port);
        await using RestlessHall hall = new(machines: 8);
        using StateDirectory state = new();
        string configuration = state.PathOf("hall.jsonc");
        await File.WriteAllTextAsync(
            configuration,
            hall.Configuration(settings with { Port = far.Port }, state.Place),
            cancellation
        );

        await using AgentProcess agent = AgentProcess.Start(configuration);
        await agent.LogsAsync("data-lost raised");
        await Task.Delay(s_while, cancellation);
        for (int round = 0; round < rounds; round++)
        {
            await broker.StartAsync();
            await ListenAsync(
                broker,
                heard,
                async _ =>
                {
                    await Task.Delay(s_while, cancellation);
                    far.Delay = TimeSpan.FromMilliseconds(100);
                    await Task.Delay(s_while, cancellation);
                    far.Delay = TimeSpan.Zero;
                    await broker.PauseAsync();
                    // Longer than an answer is waited for, where there is time.
                    await Task.Delay(s_while * Torture.Rounds(1, 11), cancellation);
                    await broker.ResumeAsync();
                    await Task.Delay(s_while, cancellation);
                }
            );
            await broker.StopAsync();
            await Task.Delay(s_while, cancellation);
        }
        hall.Quieten();
        await Task.Delay(s_while, cancellation);
        await broker.StartAsync();
        long last = 0;
        await ListenAsync(
            broker,
            heard,
            async scada =>
            {
                Assert.Equal(0, await agent.StopAsync());
                last = await AgentProcess.DrainAsync(
                    configuration,
                    state,
                    number =>
                        heard.Exists(line => Delivery.IsOf(line, number))
                            ? Task.CompletedTask
                            : Delivery.ReachesAsync(scada, number)
                );
            }
        );

        Delivery delivery = new(heard);
        int breaks = agent.Log.Count(line => line.Contains("Lost the broker", StringComparison.Ordinal));
        Torture.Say(
            $"{rounds} rounds: {last} numbers given, {delivery.Arrived.Count} events arrived, {delivery.Lost.Count} told as lost, {delivery.Repeats} sent again in {breaks} lost connections"
        );
        Assert.Empty(delivery.Contradictions);
        Assert.Empty(delivery.Missing(last));
        Assert.Empty(delivery.Lost);
        Assert.InRange(breaks, rounds, int.MaxValue);
        Assert.InRange(delivery.Repeats, 0, breaks);
        Assert.InRange(delivery.Arrived.Count, rounds * 20, int.MaxValue);
    }

    /// <summary>Listens as the one subscriber the broker knows, while something is done.</summary>
    private static async Task ListenAsync(
        MosquittoHall broker,
        List<string> heard,
        Func<ToolProcess, Task> meanwhile
    )
    {
        await using ToolProcess scada = broker.SubscribeToEvents();
        await broker.EventsSubscribedAsync();
        await meanwhile(scada);
        await scada.EndAsync(TestContext.Current.CancellationToken);
        heard.AddRange(scada.Lines);
    }
}
