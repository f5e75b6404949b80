using System.Text.Json;
using Dancerwatch.EndToEnd.Tests.Outbox;

namespace Dancerwatch.EndToEnd.Tests.Sparkplug;

/// <summary>
/// The node followed through its life by a host, a codec and a broker that are not ours: mqtt and sparkplug-payload of npm,
/// Debian's mosquitto. The host also holds every message against the specification's rules.
/// </summary>
public sealed class SparkplugTests
{
    [Fact]
    public async Task A_host_follows_birth_data_events_rebirth_death_and_what_happened_while_the_broker_was_away()
    {
        await using SparkplugHall hall = new();
        await hall.StartBrokerAsync();
        await using SparkplugHost host = new(hall.Port);
        await host.OnlineAsync();

        await using (AgentProcess killed = await hall.StartDaemonAsync())
        {
            HostMessage birth = await host.BirthAsync();
            Assert.Equal(0, birth.Connection);
            Assert.Equal(JsonValueKind.Null, birth["event/condition"].ValueKind);
            HostMessage device = await host.HearsAsync("DBIRTH", "leaf-1");
            Assert.Equal(50, device["fill/fill"].GetDouble());
            Assert.True(device.Has("quality", "good"));

            hall.Machines.Lose(1);
            HostMessage raised = await host.HearsAsync(
                "NDATA",
                fits: one => one.Has("event/state", "raised") && one.Has("event/machine", "leaf-1")
            );
            Assert.True(raised.Has("event/condition", "data-lost"));
            Assert.False(raised.IsHistorical("event/state"));
            HostMessage open = await host.HearsAsync(
                "DDATA",
                "leaf-1",
                one => one["conditions/data_lost"].ValueKind == JsonValueKind.String
            );
            Assert.False(open.IsHistorical("conditions/data_lost"));
            hall.Machines.Lose(1, isLost: false);
            await host.HearsAsync("NDATA", fits: one => one.Has("event/state", "cleared"));

            await host.TellAsync("rebirth 1");
            Assert.Equal(0, (await host.HearsAsync("NBIRTH")).Connection);
            await host.HearsAsync("DBIRTH", "leaf-1");
            await host.HearsAsync("DBIRTH", "leaf-2");

            await host.TellAsync("rebirth 200");
            await host.TellAsync($"raw spBv1.0/{SparkplugHost.Group}/NCMD/tea-hall {{\"rebirth\": true}}");
            await host.TellAsync("command Node Control/Reboot");
            (long? refused, long? ignored) = (0, 0);
            while ((refused, ignored) != (199, 2))
            {
                HostMessage told = await host.HearsAsync("NDATA");
                refused = told.Whole("commands/refused") ?? refused;
                ignored = told.Whole("commands/ignored") ?? ignored;
            }
            Assert.Single(
                killed.Log,
                line => line.Contains("births are asked for", StringComparison.Ordinal)
            );
        }
        HostMessage will = await host.HearsAsync("NDEATH");
        Assert.Equal((0, true), (will.Connection, will.Counts));

        await using AgentProcess daemon = await hall.StartDaemonAsync();
        Assert.Equal(1, (await host.BirthAsync(after: 0)).Connection);
        await host.HearsAsync("DBIRTH", "leaf-1");

        await hall.KillBrokerAsync();
        await daemon.LogsAsync("Lost the broker");
        await RaiseAndClearAsync(hall, daemon);
        await hall.StartBrokerAsync();

        Assert.Equal(2, (await host.BirthAsync(after: 1)).Connection);
        await host.HearsAsync("DBIRTH", "leaf-1");
        HostMessage late = await host.HearsAsync(
            "NDATA",
            fits: one =>
                one.Has("event/state", "raised")
                && one.Has("event/machine", "leaf-1")
                && one.IsHistorical("event/state")
        );
        Assert.True(late.Has("event/condition", "data-lost"));
        long onset = late.Onset;
        await host.HearsAsync(
            "DDATA",
            "leaf-1",
            one =>
                one.IsHistorical("conditions/data_lost")
                && one["conditions/data_lost"].ValueKind == JsonValueKind.String
                && one.Whole("conditions/data_lost_since") == onset
        );
        await host.HearsAsync(
            "NDATA",
            fits: one =>
                one.Has("event/state", "cleared") && one.IsHistorical("event/state") && one.Onset == onset
        );
        await host.HearsAsync(
            "DDATA",
            "leaf-1",
            one =>
                one.IsHistorical("conditions/data_lost")
                && one["conditions/data_lost"].ValueKind == JsonValueKind.Null
        );

        Assert.Equal(0, await daemon.StopAsync());
        HostMessage goodbye = await host.HearsAsync("NDEATH");
        Assert.Equal((2, true), (goodbye.Connection, goodbye.Counts));
        // The broker says the will, too, for it was told to.
        HostMessage willToo = await host.HearsAsync("NDEATH");
        Assert.Equal((2, false), (willToo.Connection, willToo.Counts));
        Assert.Empty(host.Faults);
    }

    [Fact]
    public async Task Nothing_is_said_without_the_primary_host_and_a_device_dies_with_its_controller()
    {
        await using SparkplugHall hall = new();
        await hall.StartBrokerAsync();
        await using AgentProcess daemon = await hall.StartDaemonAsync(""", "aliases": true""");
        await daemon.LogsAsync("nothing is published before primary host 'scada'");

        await using SparkplugHost host = new(hall.Port);
        await host.OnlineAsync();
        Assert.Equal(0, (await host.BirthAsync()).Connection);
        await host.HearsAsync("DBIRTH", "leaf-2");

        // The word of a connection the host has long given up.
        await host.TellAsync("offline 1000");
        await host.HearsAsync("DDATA", "leaf-2");
        await host.HearsAsync("DDATA", "leaf-2");
        await host.TellAsync("offline");
        HostMessage death = await host.HearsAsync("NDEATH");
        Assert.Equal((0, true), (death.Connection, death.Counts));
        await daemon.LogsAsync("primary host 'scada' is offline");
        await hall.BrokerLogsAsync("Received DISCONNECT from dancerwatch-sparkplug");

        await host.TellAsync("online");
        Assert.Equal(1, (await host.BirthAsync(after: 0)).Connection);
        await host.HearsAsync("DBIRTH", "leaf-2");

        System.Net.IPEndPoint controller = hall.Machines.Controller.EndPoint;
        await hall.Machines.Controller.StopAsync();
        await host.HearsAsync("NDATA", fits: one => one.Has("event/condition", "data-lost"));
        await host.HearsAsync("DDEATH", "leaf-2");
        hall.Machines.Controller.Start(controller);
        await host.HearsAsync("DBIRTH", "leaf-2");

        Assert.Equal(0, await daemon.StopAsync());
        Assert.Empty(host.Faults);
    }

    /// <summary>Machine 1 loses its gap for as long as it takes until that is raised. It may have been raised before, too.</summary>
    private static async Task RaiseAndClearAsync(SparkplugHall hall, AgentProcess daemon)
    {
        (int raised, int cleared) = (Count("raised"), Count("cleared"));
        hall.Machines.Lose(1);
        await Eventually.IsTrueAsync(() => Count("raised") > raised, seconds: 20);
        hall.Machines.Lose(1, isLost: false);
        await Eventually.IsTrueAsync(() => Count("cleared") > cleared, seconds: 20);

        int Count(string state) =>
            daemon.Log.Count(line => line.Contains($"leaf-1: data-lost {state}", StringComparison.Ordinal));
    }
}
