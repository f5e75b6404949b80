namespace Dancerwatch.EndToEnd.Tests.Broker;

/// <summary>The access list we give away, config/mosquitto.acl, by what mosquitto delivers and what it does not.</summary>
public sealed class AccessListTests
{
    private const string Tea1 = "dancerwatch/v1/leafside/tea-hall/line-1/tea-1/event";
    private const string Oats1 = "dancerwatch/v1/leafside/oats-hall/line-1/oats-1/event";

    [Fact]
    public async Task A_daemon_publishes_under_its_own_area_and_nowhere_else()
    {
        await using MosquittoHall hall = await StartAsync();
        await using ToolProcess scada = hall.Subscribe();
        await hall.BrokerSaysAsync(line => line.Contains("u'scada'", StringComparison.Ordinal));

        foreach (string topic in new[] { Oats1, "dancerwatch/v1/elsewhere/tea-hall/x", "lights/off", Tea1 })
            await hall.PublishAsync("tea-hall", topic, $"from tea-hall to {topic}");
        await hall.PublishAsync("oats-hall", Oats1, "from oats-hall");

        // One broker, one subscriber, one order: had the others been let through, they would have come first.
        await scada.LineAsync(line => line.EndsWith("from oats-hall", StringComparison.Ordinal));
        Assert.Equal(
            [$"0 1 {Tea1} from tea-hall to {Tea1}", $"0 1 {Oats1} from oats-hall"],
            scada.Lines.Where(line => line.Contains(" from ", StringComparison.Ordinal))
        );
    }

    [Fact]
    public async Task All_that_a_daemon_has_to_say_is_let_through_under_its_own_area()
    {
        await using MosquittoHall hall = await StartAsync();
        await using ToolProcess scada = hall.Subscribe();
        // An event is not retained: whoever subscribes after it was sent does not hear it.
        await hall.BrokerSaysAsync(line =>
            line.Contains("Received SUBSCRIBE from", StringComparison.Ordinal)
        );
        await using TestDaemon daemon = new(hall.SettingsFor("tea-hall"));
        daemon.Raise(step: 0);

        await scada.LineAsync(line => line.Contains($" {Tea1} ", StringComparison.Ordinal));
        await scada.LineAsync(line => line.Contains("/state/fill ", StringComparison.Ordinal));
        await scada.LineAsync(line => line.Contains("/agents/dancerwatch/status ", StringComparison.Ordinal));

        Assert.DoesNotContain(daemon.Log, line => line.Contains("does not let", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Whoever_reads_publishes_nothing_and_a_daemon_reads_nothing()
    {
        await using MosquittoHall hall = await StartAsync();
        await using ToolProcess scada = hall.Subscribe();
        await using ToolProcess daemon = hall.Subscribe("tea-hall");
        await hall.BrokerSaysAsync(line => line.Contains("u'scada'", StringComparison.Ordinal));
        await hall.BrokerSaysAsync(line => line.Contains("u'tea-hall'", StringComparison.Ordinal));

        await hall.PublishAsync("scada", Tea1, "from scada");
        await hall.PublishAsync("tea-hall", Tea1, "from tea-hall");

        await scada.LineAsync(line => line.EndsWith("from tea-hall", StringComparison.Ordinal));
        Assert.DoesNotContain(scada.Lines, line => line.EndsWith("from scada", StringComparison.Ordinal));
        Assert.DoesNotContain(daemon.Lines, line => line.Contains(" from ", StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_Sparkplug_node_says_what_it_has_to_and_nobody_else_says_it_for_it()
    {
        string access = File.ReadAllText(RepositoryFiles.PathOf("config", "mosquitto.acl"))
            .Replace("# pattern", "pattern", StringComparison.Ordinal)
            .Replace("# topic", "topic", StringComparison.Ordinal);
        await using MosquittoHall hall = new(access);
        await hall.StartAsync();
        await using ToolProcess scada = hall.Subscribe(topic: "spBv1.0/#");
        await hall.BrokerSaysAsync(line => line.Contains("u'scada'", StringComparison.Ordinal));

        await hall.PublishAsync("oats-hall", "spBv1.0/leafside/NDEATH/tea-hall", "from oats-hall");
        await hall.PublishAsync("tea-hall", "spBv1.0/leafside/NCMD/tea-hall", "from tea-hall");
        await using TestNode node = new(hall.SettingsFor("tea-hall"));
        await scada.LineAsync(line =>
            line.StartsWith("0 0 spBv1.0/leafside/NBIRTH/tea-hall ", StringComparison.Ordinal)
        );
        await scada.LineAsync(line =>
            line.StartsWith("0 0 spBv1.0/leafside/DBIRTH/tea-hall/tea-1 ", StringComparison.Ordinal)
        );
        // It hears what scada may say to it, though it understands nothing of this.
        await hall.PublishAsync("scada", "spBv1.0/leafside/NCMD/tea-hall", "from scada");
        await node.IgnoresACommandAsync();
        await node.StopAsync();
        await scada.LineAsync(line =>
            line.StartsWith("0 1 spBv1.0/leafside/NDEATH/tea-hall ", StringComparison.Ordinal)
        );

        Assert.DoesNotContain(scada.Lines, line => line.EndsWith("from oats-hall", StringComparison.Ordinal));
        Assert.DoesNotContain(scada.Lines, line => line.EndsWith("from tea-hall", StringComparison.Ordinal));
    }

    private static async Task<MosquittoHall> StartAsync()
    {
        MosquittoHall hall = new(File.ReadAllText(RepositoryFiles.PathOf("config", "mosquitto.acl")));
        await hall.StartAsync();
        return hall;
    }
}
