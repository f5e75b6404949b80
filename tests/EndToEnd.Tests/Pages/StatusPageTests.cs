using System.Net;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Demo;
using Dancerwatch.EdgeAgent.Tests.Hosting;
using Dancerwatch.EndToEnd.Tests.Survey;
using Dancerwatch.VirtualMachine.Faults;
using Dancerwatch.VirtualMachine.Hall;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EndToEnd.Tests.Pages;

/// <summary>
/// The status page of a daemon that watches the virtual hall, in a real browser: tea-1 runs well, the brake of tea-2 begins to
/// drag and is warned of, tea-4 has tripped.
/// </summary>
public sealed class StatusPageTests
{
    private const string Token = "oolong-and-assam-0042";
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    private static IReadOnlyList<HallMachine> Machines =>
        [
            TeaHall.Machines[0],
            // Not sooner: what a machine usually does is learned first.
            TeaHall.Machines[1],
            TeaHall.Machines[3] with
            {
                Faults = [new FaultSchedule(Fault.FilmSnag, 12, 25)],
            },
        ];

    [Fact]
    public async Task With_warnings_raised_it_is_live_drawn_printed_and_of_use_to_anybody_and_nothing_leaves_the_machine()
    {
        PackingHall hall = new(Machines, TimeProvider.System);
        hall.Controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
        using CancellationTokenSource stop = CancellationTokenSource.CreateLinkedTokenSource(s_end);
        Task running = hall.RunAsync(stop.Token);
        await using RunningAgent agent = new(
            Settings(hall, new StatusPageSettings { Enabled = true, Port = 0 }),
            NullLoggerFactory.Instance
        );
        string address = $"http://{agent.Agent.PageEndPoint}";
        await UntilAsync(new($"{address}/events?machine=tea-4"), HasTrippedAfterAWarning);
        await UntilAsync(new($"{address}/events?machine=tea-2"), IsWarnedOf);
        using TemporaryFolder folder = new();
        string shots = folder.PathOf("");

        IReadOnlyList<Looked> warned = await Looked.AtAsync($"{address}/machine/tea-2", shots, s_end);
        Looked.Keep(shots, "warned");
        IReadOnlyList<Looked> tripped = await Looked.AtAsync($"{address}/machine/tea-4", shots, s_end);
        Looked.Keep(shots, "tripped");
        IReadOnlyList<Looked> line = await Looked.AtAsync($"{address}/", shots, s_end);
        Looked.Keep(shots, "line");
        await stop.CancelAsync();
        await running;
        await agent.StopAsync();
        await hall.Controller.StopAsync();

        Assert.All(
            [.. warned, .. tripped, .. line],
            seen =>
            {
                Assert.Empty(seen.Errors);
                Assert.All(
                    seen.Requests,
                    request => Assert.StartsWith(address, request, StringComparison.Ordinal)
                );
                Assert.Empty(seen.Violations);
                Assert.NotEqual(seen.First, seen.Second);
                Assert.Equal((0, 0), (seen.TooWide, seen.TooWideOnPaper));
                // As many warnings as there are; each with its evidence takes room.
                Assert.InRange(seen.Sheets, 1, 2);
                Assert.Contains("A", seen.Stops);
                // What is not as it should be is said in words, on every page.
                Assert.Contains("drive-limit, empty side", seen.Text, StringComparison.Ordinal);
                Assert.Contains("tripped past empty", seen.Text, StringComparison.Ordinal);
            }
        );
        Assert.All(
            [.. warned, .. tripped],
            seen =>
            {
                Assert.Equal(["fill-chart", "spectrum-chart"], seen.Pixels.Keys.Order());
                Assert.All(seen.Pixels.Values, pixels => Assert.InRange(pixels, 1_000, 10_000_000));
            }
        );
        Assert.All(
            warned,
            seen =>
            {
                Assert.Contains("the machine's cycle", seen.Text, StringComparison.Ordinal);
                Assert.Contains("drive-limit: medium priority, empty side", seen.Text);
                Assert.Contains("Likely: brake-drag", seen.Text, StringComparison.Ordinal);
                Assert.Contains("Lock out", seen.Text, StringComparison.Ordinal);
            }
        );
        Assert.All(
            tripped,
            seen =>
            {
                Assert.Contains("None is raised.", seen.Text, StringComparison.Ordinal);
                Assert.Contains("limit-approach: high priority, empty side", seen.Text);
                Assert.Contains("Likely: ", seen.Text, StringComparison.Ordinal);
            }
        );
    }

    [Fact]
    public async Task A_token_is_asked_for_by_a_form_that_anybody_can_use_and_nothing_is_seen_before_it_is_right()
    {
        await using TestHall hall = new("tea");
        using TemporaryFolder folder = new();
        await File.WriteAllTextAsync(folder.PathOf("token"), Token + "\n", s_end);
        StatusPageSettings page = new()
        {
            Enabled = true,
            Port = 0,
            TokenFile = folder.PathOf("token"),
        };
        await using RunningAgent agent = new(
            TestHall.Watching([hall.Settings], hall.Machine(1)) with
            {
                StatusPage = page,
            },
            NullLoggerFactory.Instance
        );

        using JsonDocument windows = await Looked.ScriptAsync(
            "enter.js",
            s_end,
            $"http://{agent.Agent.PageEndPoint}/",
            folder.PathOf(""),
            "lapsang-souchong-0042",
            Token
        );
        Looked.Keep(folder.PathOf(""), "token");

        Assert.Equal(2, windows.RootElement.GetArrayLength());
        Assert.All(
            windows.RootElement.EnumerateArray(),
            seen =>
            {
                Assert.Empty(seen.GetProperty("violations").EnumerateArray());
                Assert.Empty(seen.GetProperty("errors").EnumerateArray());
                Assert.Equal("That is not the token.", seen.GetProperty("complaint").GetString());
                Assert.Equal(0, seen.GetProperty("tooWide").GetInt32());
                Assert.DoesNotContain("tea-1", seen.GetProperty("seenBefore").GetString());
                Assert.Contains("tea-1", seen.GetProperty("seenAfter").GetString());
                JsonElement pass = Assert.Single(seen.GetProperty("cookies").EnumerateArray());
                Assert.True(pass.GetProperty("httpOnly").GetBoolean());
                Assert.Equal("Strict", pass.GetProperty("sameSite").GetString());
                // It ends with the browser.
                Assert.Equal(-1, pass.GetProperty("expires").GetDouble());
                Assert.DoesNotContain(Token, pass.GetProperty("value").GetString());
            }
        );
    }

    private static AgentSettings Settings(PackingHall hall, StatusPageSettings page)
    {
        AgentSettings all = TeaHallSettings.Load(hall.Controller.EndPoint.Port, brokerPort: 1);
        return all with
        {
            Mqtt = null,
            Machines = [.. all.Machines.Where(machine => machine.Name != "tea-3")],
            StatusPage = page,
        };
    }

    private static bool IsWarnedOf(JsonElement machine) =>
        machine.GetProperty("warnings").GetArrayLength() > 0
        && machine.TryGetProperty("spectrum", out JsonElement spectrum)
        && spectrum.GetProperty("lines").ValueKind == JsonValueKind.Array;

    private static bool HasTrippedAfterAWarning(JsonElement machine) =>
        machine.TryGetProperty("regime", out JsonElement regime)
        && regime.GetString() == "tripped"
        && machine.GetProperty("past").GetArrayLength() > 0;

    private static async Task UntilAsync(Uri events, Func<JsonElement, bool> isSo)
    {
        using HttpClient viewer = new();
        using StreamReader lines = new(await viewer.GetStreamAsync(events, s_end));
        while (await lines.ReadLineAsync(s_end) is { } line)
        {
            if (!line.StartsWith("data: ", StringComparison.Ordinal))
                continue;
            using JsonDocument frame = JsonDocument.Parse(line["data: ".Length..]);
            if (isSo(frame.RootElement.GetProperty("machine")))
                return;
        }
        throw new EndOfStreamException("The events ended.");
    }
}
