using System.Globalization;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Hosting;
using Dancerwatch.EdgeAgent.Tests.Hosting;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EndToEnd.Tests.Outbox;
using Dancerwatch.Signals.Readings;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EndToEnd.Tests.Faults;

/// <summary>One process, 64 machines, 20 of them on controllers that are not there: the others are on time.</summary>
public sealed class IsolationTests
{
    private const int Controllers = 11;
    private const int MachinesEach = 4;
    private const int Away = 20;

    [Fact]
    public async Task Twenty_machines_that_cannot_be_reached_make_the_other_forty_four_no_later()
    {
        List<TestHall> halls =
        [
            .. Enumerable.Range(1, Controllers).Select(i => new TestHall($"iso-near-{i}", MachinesEach)),
        ];
        using DeafPort deaf = await DeafPort.OpenAsync();
        AgentSettings near = TestHall.Watching(
            [.. halls.Select(hall => hall.Settings)],
            [.. halls.SelectMany(hall => Enumerable.Range(1, MachinesEach).Select(hall.Machine))]
        );
        AgentSettings all = near with
        {
            // Half of them refuse, half of them never answer.
            Controllers =
            [
                .. near.Controllers,
                .. Enumerable
                    .Range(0, Away)
                    .Select(i => Gone(i, i % 2 == 0 ? deaf.Port : LoopbackPort.Free())),
            ],
            Machines =
            [
                .. near.Machines,
                .. Enumerable
                    .Range(0, Away)
                    .Select(i =>
                        halls[0].Machine(1) with
                        {
                            Name = $"iso-gone-{i}",
                            Controller = $"iso-gone-{i}",
                        }
                    ),
            ],
        };
        Assert.Equal(64, all.Machines.Count);
        using LatenessMeter meter = new("iso-near-");
        // Side by side: in turns, so that what else this computer does falls on both alike.
        for (int round = 0; round < Torture.Rounds(3, 30); round++)
        {
            await RunAsync(near, meter, "without");
            await RunAsync(all, meter, "with");
        }
        foreach (TestHall hall in halls)
            await hall.DisposeAsync();

        double without = meter.P99Milliseconds("without");
        double with = meter.P99Milliseconds("with");
        string told = string.Create(
            CultureInfo.InvariantCulture,
            $"start-late p99 of 44 machines: {without:F2} ms without, {with:F2} ms with 20 more that are away ({meter.Polls("without")} and {meter.Polls("with")} polls)"
        );
        Torture.Say(told);
        // Generous, by one poll: a loop that another holds up is late by a timeout, 500 ms; the rest is a busy computer.
        Assert.True(with <= (3 * without) + 20, told);
        Assert.InRange(meter.Polls("with"), 0.8 * meter.Polls("without"), 1.25 * meter.Polls("without"));
    }

    private static async Task RunAsync(AgentSettings settings, LatenessMeter meter, string during)
    {
        using CancellationTokenSource stop = new();
        await using Agent agent = new(settings, TimeProvider.System, NullLoggerFactory.Instance);
        Task running = agent.RunAsync(stop.Token);
        await Eventually.IsTrueAsync(
            () => agent.HasComeRound && Near(agent).All(IsGood),
            "all near machines to be read",
            seconds: 20
        );
        meter.During = during;
        await Task.Delay(TimeSpan.FromSeconds(1.5), TestContext.Current.CancellationToken);
        meter.During = null;
        Assert.All(Near(agent), watch => Assert.True(IsGood(watch), watch.Place.Machine));
        Assert.DoesNotContain(agent.Watches.Except(Near(agent)), IsGood);
        Assert.Null(agent.StuckLoop());
        await stop.CancelAsync();
        await running.WaitAsync(TimeSpan.FromSeconds(20));
    }

    private static IEnumerable<MachineWatch> Near(Agent agent) =>
        agent.Watches.Where(watch => watch.Place.Machine.StartsWith("iso-near-", StringComparison.Ordinal));

    private static bool IsGood(MachineWatch watch) => watch.State()?.Quality == Quality.Good;

    private static ControllerSettings Gone(int i, int port) =>
        new()
        {
            Name = $"iso-gone-{i}",
            Host = "127.0.0.1",
            Port = port,
        };
}
