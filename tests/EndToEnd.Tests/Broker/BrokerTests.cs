using System.Text.Json;

namespace Dancerwatch.EndToEnd.Tests.Broker;

/// <summary>
/// Publishing to a broker we did not write, watched by a subscriber we did not write: Debian's mosquitto and
/// mosquitto_sub.
/// </summary>
public sealed class BrokerTests
{
    private const string Tea1 = "dancerwatch/v1/leafside/tea-hall/line-1/tea-1";

    [Fact]
    public async Task Events_and_retained_states_arrive_over_TLS_with_a_client_certificate_and_survive_a_killed_broker()
    {
        await using MosquittoHall hall = new();
        await hall.StartAsync();
        await using TestDaemon daemon = new(hall.SettingsFor("dancerwatch"));

        await using (ToolProcess early = hall.Subscribe())
        {
            // Whoever subscribes after this gets what the broker has retained.
            await early.LineAsync(line => line.Contains($" {Tea1}/state/fill ", StringComparison.Ordinal));
        }

        await using (ToolProcess scada = hall.Subscribe())
        {
            await scada.LineAsync(line =>
                line.StartsWith($"1 1 {Tea1}/state/fill ", StringComparison.Ordinal)
            );
            daemon.Raise(step: 0);
            string heard = await scada.LineAsync(line =>
                line.StartsWith($"0 1 {Tea1}/event ", StringComparison.Ordinal)
            );

            using JsonDocument sent = JsonDocument.Parse(
                heard[heard.IndexOf('{', StringComparison.Ordinal)..]
            );
            Assert.Equal("1.0", sent.RootElement.GetProperty("specversion").GetString());
            Assert.Equal(
                "limit-approach",
                sent.RootElement.GetProperty("data").GetProperty("condition").GetString()
            );
        }

        await hall.KillAsync();
        daemon.Raise(step: 1);
        await hall.StartAsync();

        await using (ToolProcess scada = hall.Subscribe())
        {
            // The restarted broker has forgotten everything; so what it retains was published anew. The event may have
            // passed before the subscriber came, which is what the acknowledgement shows.
            foreach (
                string name in new[]
                {
                    "fill",
                    "bands",
                    "oscillation",
                    "margin",
                    "conditions",
                    "roll",
                    "film-path",
                }
            )
                await scada.LineAsync(line =>
                    line.Contains($" {Tea1}/state/{name} ", StringComparison.Ordinal)
                );
            Assert.Equal(0, daemon.Waiting);

            await daemon.StopAsync();
            await scada.LineAsync(line =>
                line.Contains("/agents/dancerwatch/status ", StringComparison.Ordinal)
                && line.Contains("\"offline\"", StringComparison.Ordinal)
            );
        }
    }

    [Fact]
    public async Task A_broker_that_does_not_let_us_publish_is_told_with_the_topic_and_what_to_do()
    {
        await using MosquittoHall hall = new();
        await hall.StartAsync();
        // The access list lets scada read and nothing else.
        await using TestDaemon daemon = new(hall.SettingsFor("scada"));
        daemon.Raise(step: 0);

        string told = await daemon.TroubleAsync("/event");

        Assert.Contains($"{Tea1}/event", told, StringComparison.Ordinal);
        Assert.Contains("access list", told, StringComparison.Ordinal);
    }
}
