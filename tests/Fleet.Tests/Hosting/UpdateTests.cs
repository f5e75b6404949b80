using System.Globalization;
using Dancerwatch.EndToEnd.Tests.Outbox;
using Dancerwatch.Fleet.Tests.Plant;

namespace Dancerwatch.Fleet.Tests.Hosting;

/// <summary>
/// Host by host, the build in place is taken out and another put in, while the fleet reads on. Needs another build of the program,
/// of another version: DEVELOPERS.md tells how to make one; skipped without.
/// </summary>
public sealed class UpdateTests
{
    private const int Machines = 12;

    [Fact]
    public async Task Hosts_are_updated_one_after_another_and_no_machine_is_unread_for_long()
    {
        string? newer = Environment.GetEnvironmentVariable("DANCERWATCH_FLEET_NEWER");
        Assert.SkipWhen(
            newer is null,
            "DANCERWATCH_FLEET_NEWER names no other build's dancerwatch-fleet.dll"
        );
        PrivatePostgres.RequirePrograms();
        PlantBroker.RequirePrograms();
        using PlantFolder folder = new();
        using PlantNetwork network = PlantNetwork.Require(hosts: 3);
        await using PrivatePostgres postgres = await PrivatePostgres.StartAsync(network);
        await using PlantBroker broker = await PlantBroker.StartAsync(network, folder.Path);
        await using PolledPlant plant = new(network, folder.Path, Machines);
        await plant.ServesAsync();
        await using FleetHosts hosts = new(network, folder.Path);
        foreach (int host in new[] { 1, 2, 3 })
            hosts.Start(host);
        await plant.EvenAsync(Machines);

        foreach (int host in new[] { 1, 2, 3 })
        {
            DateTimeOffset asked = TimeProvider.System.GetUtcNow();
            await hosts.StopAsync(host);
            await Eventually.IsTrueAsync(
                () => plant.Reading().Count(turn => turn.Host != host) == Machines,
                seconds: 20
            );
            hosts.Start(host, newer);
            await plant.EvenAsync(Machines);
            TimeSpan unread = plant.LongestUnread(asked);
            Torture.Say(
                string.Create(
                    CultureInfo.InvariantCulture,
                    $"host-{host}: {FleetProgram.VersionOf(FleetProgram.Built)} is stopped, {FleetProgram.VersionOf(newer!)} started, each of three hosts reads {Machines / 3}; no machine was unread for more than {unread.TotalSeconds:F1} s"
                )
            );
            Assert.InRange(unread, TimeSpan.Zero, TimeSpan.FromSeconds(2));
        }

        await hosts.StopAsync();
        Torture.Say(await EventCheck.AllArrivedOnceAsync(broker, postgres));
        Assert.Equal(0, plant.PollsAtOnce());
        Assert.Contains(
            hosts.Said,
            one => one.Line.Contains($"of version {FleetProgram.VersionOf(newer!)}", StringComparison.Ordinal)
        );
    }
}
