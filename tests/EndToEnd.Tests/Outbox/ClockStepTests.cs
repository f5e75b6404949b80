using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Hosting;
using Dancerwatch.EndToEnd.Tests.Broker;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EndToEnd.Tests.Outbox;

/// <summary>The wall clock is set while the daemon runs and between two runs: stamps follow it, and nothing else does.</summary>
public sealed class ClockStepTests
{
    [Fact]
    public async Task A_day_forward_and_an_hour_back_neither_lose_nor_turn_round_nor_repeat_an_event()
    {
        CancellationToken cancellation = TestContext.Current.CancellationToken;
        await using MosquittoHall broker = new();
        await broker.StartAsync();
        await using ToolProcess scada = broker.SubscribeToEvents();
        await using RestlessHall hall = new(machines: 4);
        using StateDirectory state = new();
        string configuration = state.PathOf("hall.jsonc");
        await File.WriteAllTextAsync(
            configuration,
            hall.Configuration(broker.SettingsFor("dancerwatch"), state.Place),
            cancellation
        );
        AgentSettings settings = SettingsFile.Load(configuration).Settings!;
        SteppingTime time = new();

        await WatchAsync(
            settings,
            time,
            async () =>
            {
                await Delivery.ReachesAsync(scada, 10);
                time.Step = TimeSpan.FromDays(1);
                await Delivery.ReachesAsync(scada, 30);
                time.Step = TimeSpan.FromDays(1) - TimeSpan.FromHours(1);
                await Delivery.ReachesAsync(scada, 50);
            }
        );
        time.Step = TimeSpan.Zero;
        long before = state.Done();
        await WatchAsync(settings, time, () => Delivery.ReachesAsync(scada, before + 10));

        Delivery delivery = new(scada.Lines);
        Assert.Empty(delivery.Contradictions);
        Assert.Empty(delivery.Missing(before + 10));
        Assert.Empty(delivery.Lost);
        Assert.Equal(0, delivery.Repeats);
        DateTimeOffset now = TimeProvider.System.GetUtcNow();
        foreach (string day in new[] { now, now.AddDays(1) }.Select(at => $"{at:yyyy-MM-dd}T"))
            Assert.Contains(
                scada.Lines,
                line => line.Contains($"\"time\":\"{day}", StringComparison.Ordinal)
            );
    }

    private static async Task WatchAsync(AgentSettings settings, TimeProvider time, Func<Task> meanwhile)
    {
        await using Agent agent = new(settings, time, NullLoggerFactory.Instance);
        using CancellationTokenSource stop = new();
        Task running = agent.RunAsync(stop.Token);
        await meanwhile();
        await stop.CancelAsync();
        await running;
    }

    /// <summary>The system's time, whose wall clock can be set; what is steady stays so.</summary>
    private sealed class SteppingTime : TimeProvider
    {
        public TimeSpan Step { get; set; }

        public override DateTimeOffset GetUtcNow() => System.GetUtcNow() + Step;
    }
}
