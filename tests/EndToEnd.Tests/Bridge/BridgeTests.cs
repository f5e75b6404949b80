using Dancerwatch.EndToEnd.Tests.Outbox;

namespace Dancerwatch.EndToEnd.Tests.Bridge;

/// <summary>
/// A daemon, its site's Mosquitto, a link, the centre's Mosquitto and a reader there, as docs/brokers.md says. The hour that
/// the link is away is shortened: a hall of restless machines raises in seconds what hundreds of machines do in an hour.
/// </summary>
public sealed class BridgeTests
{
    private const string Events = "dancerwatch/v1/+/+/+/+/event";

    [Fact]
    public async Task Over_a_lost_link_and_a_restart_every_event_reaches_the_centre_once_by_id()
    {
        int waiting = Torture.Rounds(usual: 150, atLength: 1_000);
        CancellationToken cancellation = TestContext.Current.CancellationToken;
        await using BridgedBrokers brokers = new();
        await brokers.StartCentreAsync();
        await using ToolProcess centre = brokers.Subscribe(Events);
        await brokers.SubscribedAsync();
        await brokers.StartSiteAsync();
        await using RestlessHall hall = new(machines: 32);
        using StateDirectory state = new();
        string configuration = state.PathOf("hall.jsonc");
        await File.WriteAllTextAsync(
            configuration,
            hall.Configuration(brokers.Settings, state.Place),
            cancellation
        );

        await using AgentProcess agent = AgentProcess.Start(configuration);
        await Delivery.ReachesAsync(centre, 10);
        // The last that arrived is not known to have: the bridge will send it again.
        brokers.Link.LosesAnswers = true;
        int before = brokers.EventsAtCentre;
        await Eventually.IsTrueAsync(() => brokers.EventsAtCentre > before, seconds: 30);
        await brokers.Link.CutAsync();
        await brokers.LinkEndedAsync();
        int atCut = brokers.EventsAtCentre;
        before = brokers.EventsAtSite;
        await Eventually.IsTrueAsync(() => brokers.EventsAtSite >= before + (waiting / 2), seconds: 60);
        await brokers.StopSiteAsync();
        await brokers.StartSiteAsync();
        await Eventually.IsTrueAsync(() => brokers.EventsAtSite >= waiting / 2, seconds: 60);
        Assert.Equal(atCut, brokers.EventsAtCentre);
        brokers.Link.Mend();
        hall.Quieten();
        Assert.Equal(0, await agent.StopAsync());
        long last = await AgentProcess.DrainAsync(
            configuration,
            state,
            number => Delivery.ReachesAsync(centre, number)
        );

        Delivery delivery = new(centre.Lines);
        Torture.Say(
            $"{last} events raised, {delivery.Arrived.Count} arrived at the centre by id, {brokers.EventsAtCentre} messages; "
                + $"at least {waiting} were raised while the link was cut, {delivery.Repeats} came twice, {delivery.Lost.Count} told as lost"
        );
        Assert.Empty(delivery.Contradictions);
        Assert.Empty(delivery.Missing(last));
        Assert.Empty(delivery.Lost);
        Assert.InRange(delivery.Arrived.Count, waiting, int.MaxValue);
        Assert.InRange(delivery.Repeats, 1, int.MaxValue);
    }

    [Fact]
    public async Task The_centre_sees_whether_the_link_is_there_and_has_states_anew_once_it_is_and_no_old_ones()
    {
        const string link = "$SYS/broker/connection/leafside/state";
        CancellationToken cancellation = TestContext.Current.CancellationToken;
        await using BridgedBrokers brokers = new();
        await brokers.StartCentreAsync();
        await brokers.StartSiteAsync();
        await using RestlessHall hall = new(machines: 1);
        hall.Quieten();
        using StateDirectory state = new();
        string configuration = state.PathOf("hall.jsonc");
        await File.WriteAllTextAsync(
            configuration,
            hall.Configuration(brokers.Settings, state.Place),
            cancellation
        );
        await using AgentProcess agent = AgentProcess.Start(configuration);
        await using ToolProcess centre = brokers.Subscribe(link, "dancerwatch/v1/#");
        await centre.LineAsync(line => line.EndsWith($"{link} 1", StringComparison.Ordinal));
        await centre.LineAsync(line => line.Contains("/state/fill ", StringComparison.Ordinal));
        await centre.LineAsync(line => line.Contains("/agents/tea-hall/status ", StringComparison.Ordinal));

        await brokers.Link.CutAsync();
        await centre.LineAsync(line => line.EndsWith($"{link} 0", StringComparison.Ordinal));
        int heard = centre.Lines.Count;
        // The daemon ends meanwhile; the word of it is retained at the site.
        Assert.Equal(0, await agent.StopAsync());
        Assert.Equal(heard, centre.Lines.Count);
        brokers.Link.Mend();

        await Eventually.IsTrueAsync(
            () =>
                centre.Lines.Any(line =>
                    line.Contains("/agents/tea-hall/status ", StringComparison.Ordinal)
                    && line.Contains("offline", StringComparison.Ordinal)
                ),
            seconds: 30
        );
        // One of each: what was said meanwhile did not wait.
        Assert.Single(
            centre.Lines.Skip(heard),
            line => line.Contains("/tea-1/state/fill ", StringComparison.Ordinal)
        );
    }
}
