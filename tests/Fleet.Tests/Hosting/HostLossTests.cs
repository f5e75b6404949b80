using System.Globalization;
using Dancerwatch.EndToEnd.Tests.Outbox;
using Dancerwatch.Fleet.Tests.Plant;

namespace Dancerwatch.Fleet.Tests.Hosting;

/// <summary>
/// Three hosts in network namespaces of their own, a PostgreSQL, a mosquitto, and virtual machines in a process of their own.
/// Hosts are lost in each way there is, and come back. What is held: every machine is read again within 10 s of the loss being
/// known; no two hosts poll at once; every event that was written down arrives, and an occurrence is one occurrence.
/// </summary>
public sealed class HostLossTests
{
    private static readonly TimeSpan s_readAgain = TimeSpan.FromSeconds(10);

    // A host that does not answer its three questions of a second each is known to be lost; one that lost the database ends after its lease.
    private const int Known = 25;

    private readonly DateTimeOffset _begun = TimeProvider.System.GetUtcNow();

    [Fact]
    public async Task Hosts_are_killed_cut_off_and_come_back_and_every_machine_is_read_on_by_one_of_them()
    {
        int machines = Torture.Rounds(usual: 12, atLength: 96);
        PrivatePostgres.RequirePrograms();
        PlantBroker.RequirePrograms();
        using PlantFolder folder = new();
        using PlantNetwork network = PlantNetwork.Require(hosts: 3);
        string directory = folder.Path;
        await using PrivatePostgres postgres = await PrivatePostgres.StartAsync(network);
        await using PlantBroker broker = await PlantBroker.StartAsync(network, directory);
        await using PolledPlant plant = new(network, directory, machines);
        await plant.ServesAsync();
        await using FleetHosts hosts = new(network, directory);
        Say($"{machines} machines behind as many controllers, PostgreSQL, mosquitto");

        foreach (int host in new[] { 1, 2, 3 })
            hosts.Start(host);
        await EvenAsync(plant, machines);

        if (Torture.Rounds(usual: 0, atLength: 1) > 0)
            Say(await hosts.CostAsync(TimeSpan.FromSeconds(10)));

        await Eventually.IsTrueAsync(() => postgres.Saved() == machines, seconds: 30);
        DateTimeOffset lost = Say("every machine has been saved once; kill -9 of host-1");
        DateTimeOffset firstLoss = lost;
        await hosts.KillAsync(1);
        await ReadOnAsync(hosts, plant, machines, 1, lost);
        hosts.Start(1);
        Say("host-1 is started again");
        await EvenAsync(plant, machines);

        lost = Say("host-2 is cut off from the other hosts, not from database, broker and controllers");
        network.Cut(2, 1);
        network.Cut(2, 3);
        await ReadOnAsync(hosts, plant, machines, 2, lost);
        Assert.NotEqual(0, await hosts.EndedAsync(2));
        Say("host-2 has ended by itself");
        network.Join(2, 1);
        network.Join(2, 3);
        hosts.Start(2);
        Say("host-2 is joined and started again");
        await EvenAsync(plant, machines);

        lost = Say("host-3 is cut off from the database, not from hosts, broker and controllers");
        network.Lose(3, PlantNetwork.Database);
        await ReadOnAsync(hosts, plant, machines, 3, lost);
        Assert.Equal(70, await hosts.EndedAsync(3));
        Say("host-3 has ended by itself");
        network.Find(3, PlantNetwork.Database);
        hosts.Start(3);
        Say("host-3 is joined and started again");
        await EvenAsync(plant, machines);

        if (Torture.Rounds(usual: 0, atLength: 1) > 0)
        {
            lost = Say("host-1 is frozen (SIGSTOP)");
            await hosts.SendAsync(1, "STOP");
            await ReadOnAsync(hosts, plant, machines, 1, lost);
            await hosts.SendAsync(1, "CONT");
            Say("host-1 thaws");
            Assert.NotEqual(0, await hosts.EndedAsync(1));
            Say("host-1 has ended by itself");
            hosts.Start(1);
            await EvenAsync(plant, machines);
        }

        await hosts.StopAsync();
        Say("all hosts are asked to end, and have");
        Say(await EventCheck.AllArrivedOnceAsync(broker, postgres));
        Assert.DoesNotContain(
            hosts.Said,
            one =>
                one.Line.Contains("failed on a poll", StringComparison.Ordinal)
                || one.Line.Contains("a fault of the program", StringComparison.Ordinal)
                || one.Line.Contains("; 0 of 1 machines go on", StringComparison.Ordinal)
                    && FleetHosts.TimeOf(one.Line) > firstLoss
        );
        long atOnce = plant.PollsAtOnce();
        Say($"polls while another host polled: {atOnce} of {plant.Turns().Sum(turn => turn.Polls)}");
        Assert.Equal(0, atOnce);
    }

    private async Task EvenAsync(PolledPlant plant, int machines)
    {
        await plant.EvenAsync(machines);
        Say($"each of three hosts reads {machines / 3}");
    }

    private async Task ReadOnAsync(
        FleetHosts hosts,
        PolledPlant plant,
        int machines,
        int lost,
        DateTimeOffset since
    )
    {
        await Eventually.IsTrueAsync(() => hosts.KnownLost(lost, since) is not null, seconds: Known);
        DateTimeOffset known = hosts.KnownLost(lost, since)!.Value;
        Say($"host-{lost} is known to be lost", known);
        await Eventually.IsTrueAsync(
            () => plant.Reading().Count(turn => turn.Host != lost) == machines,
            what: "all are read by the others",
            seconds: 20
        );
        IReadOnlyList<Turn> moved =
        [
            .. plant.Latest().Where(turn => turn.First > since && turn.Host != lost),
        ];
        Assert.NotEmpty(moved);
        DateTimeOffset last = moved.Max(turn => turn.First);
        Say(
            string.Create(
                CultureInfo.InvariantCulture,
                $"the last of its {moved.Count} machines is read again, {(last - known).TotalSeconds:F1} s after that; none was unread for more than {plant.LongestUnread(since).TotalSeconds:F1} s"
            ),
            last
        );
        Assert.InRange(last - known, TimeSpan.FromSeconds(-1), s_readAgain);
    }

    private DateTimeOffset Say(string what, DateTimeOffset? when = null)
    {
        DateTimeOffset at = when ?? TimeProvider.System.GetUtcNow();
        string line = string.Create(
            CultureInfo.InvariantCulture,
            $"{(at - _begun).TotalSeconds, 7:F1} s  {what}"
        );
        Torture.Say(line);
        return at;
    }
}
