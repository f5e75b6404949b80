using System.Text.Json;
using Dancerwatch.EndToEnd.Tests.Broker;
using Dancerwatch.EndToEnd.Tests.Outbox;

namespace Dancerwatch.EndToEnd.Tests.Snapshots;

/// <summary>The daemon as a process, ended and started again between a virtual hall's controller and mosquitto.</summary>
public sealed class RestartTests
{
    private const string Tea1 = "dancerwatch/v1/leafside/tea-hall/line-1/tea-1";

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public async Task What_is_raised_is_not_raised_again_and_eight_hours_go_on(bool isKilled)
    {
        CancellationToken cancellation = TestContext.Current.CancellationToken;
        await using MosquittoHall broker = new();
        await broker.StartAsync();
        await using SteadyHall hall = new();
        using StateDirectory state = new();
        string configuration = state.PathOf("hall.jsonc");
        await File.WriteAllTextAsync(
            configuration,
            hall.Configuration(broker.SettingsFor("dancerwatch"), state.Place),
            cancellation
        );
        await using ToolProcess scada = broker.Subscribe();
        int before;
        string raised;
        await using (AgentProcess agent = AgentProcess.Start(configuration))
        {
            await scada.LineAsync(line => Count(line) > 200);
            hall.LoseTheGap();
            raised = await scada.LineAsync(line => Says(line, "raised"));
            if (isKilled)
            {
                await Eventually.IsTrueAsync(
                    () => Snapshots(state).Length > 0,
                    "a snapshot of the condition"
                );
                hall.FindTheGap();
                await scada.LineAsync(line => Says(line, "cleared"));
                hall.LoseTheGap();
                string first = raised;
                // Within the minutes in which nothing more is saved: killed as soon as it is told.
                raised = await scada.LineAsync(line => Says(line, "raised") && line != first);
            }
            before = Counts(scada).Max();
            if (!isKilled)
                Assert.Equal(0, await agent.StopAsync());
        }
        int said = scada.Lines.Count;

        await using (AgentProcess agent = AgentProcess.Start(configuration))
        {
            await agent.LogsAsync("tea-1 goes on where it stopped");
            await scada.LineAsync(line => IsNew(line) && IsOpen(line));
            hall.FindTheGap();
            string cleared = await scada.LineAsync(line => IsNew(line) && Says(line, "cleared"));
            Assert.Equal(Id(raised)[..^1], Id(cleared)[..^1]);
            await scada.LineAsync(line => IsNew(line) && Count(line) > before);
            Assert.Equal(0, await agent.StopAsync());
        }
        Assert.DoesNotContain(scada.Lines.Skip(said), line => Says(line, "raised"));
        Assert.All(
            scada.Lines.Skip(said).Select(Count).Where(count => count >= 0),
            count => Assert.True(count >= (isKilled ? 200 : before), $"{count} after {before}")
        );

        bool IsNew(string line) => scada.Lines.Skip(said).Contains(line);
    }

    private static string[] Snapshots(StateDirectory state) =>
        Directory.Exists(Path.Combine(state.Place, "snapshots"))
            ? Directory.GetFiles(Path.Combine(state.Place, "snapshots"), "*.snapshot")
            : [];

    private static bool Says(string line, string what) =>
        line.Contains($" {Tea1}/event ", StringComparison.Ordinal)
        && line.Contains($"\"condition\":\"data-lost\",\"state\":\"{what}\"", StringComparison.Ordinal);

    private static bool IsOpen(string line) =>
        line.Contains($" {Tea1}/state/conditions ", StringComparison.Ordinal)
        && line.Contains("\"data_lost\":\"", StringComparison.Ordinal);

    private static string Id(string line) => Json(line).GetProperty("id").GetString()!;

    private static IEnumerable<int> Counts(ToolProcess scada) => scada.Lines.Select(Count);

    /// <summary>Readings in the window of eight hours; -1 where the line does not tell.</summary>
    private static int Count(string line) =>
        line.Contains($" {Tea1}/state/bands ", StringComparison.Ordinal)
            ? Json(line).GetProperty("readings_8h").GetInt32()
            : -1;

    private static JsonElement Json(string line) =>
        JsonDocument.Parse(line[line.IndexOf('{', StringComparison.Ordinal)..]).RootElement;
}
