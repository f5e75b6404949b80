using System.Net;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Demo;
using Dancerwatch.EdgeAgent.Hosting;
using Dancerwatch.EndToEnd.Tests.Survey;
using Dancerwatch.VirtualMachine.Hall;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EndToEnd.Tests.Pages;

/// <summary>The status page of a daemon that watches the virtual hall, in a real browser.</summary>
public sealed class StatusPageTests
{
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    [Fact]
    public async Task It_is_live_its_charts_are_drawn_nothing_leaves_the_machine_and_anybody_can_use_it()
    {
        PackingHall hall = new(TeaHall.Machines, TimeProvider.System);
        hall.Controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
        using CancellationTokenSource stop = CancellationTokenSource.CreateLinkedTokenSource(s_end);
        Task running = hall.RunAsync(stop.Token);
        AgentSettings settings = TeaHallSettings.Load(hall.Controller.EndPoint.Port, brokerPort: 1) with
        {
            Mqtt = null,
            StatusPage = new StatusPageSettings { Enabled = true, Port = 0 },
        };
        await using Agent agent = new(settings, TimeProvider.System, NullLoggerFactory.Instance);
        Task watching = agent.RunAsync(stop.Token);
        string address = $"http://{agent.PageEndPoint}";
        await UntilThereIsASpectrumAsync(new Uri($"{address}/events?machine=tea-3"));
        using TemporaryFolder folder = new();

        IReadOnlyList<Looked> machine = await Looked.AtAsync(
            $"{address}/machine/tea-3",
            folder.PathOf(""),
            s_end
        );
        Looked.Keep(folder.PathOf(""), "machine");
        IReadOnlyList<Looked> line = await Looked.AtAsync($"{address}/", folder.PathOf(""), s_end);
        Looked.Keep(folder.PathOf(""), "line");
        await stop.CancelAsync();
        await Task.WhenAll(running, watching);
        await hall.Controller.StopAsync();

        Assert.All(
            machine.Concat(line),
            seen =>
            {
                Assert.Empty(seen.Errors);
                Assert.All(
                    seen.Requests,
                    request => Assert.StartsWith(address, request, StringComparison.Ordinal)
                );
                Assert.Empty(seen.Violations);
                Assert.NotEqual(seen.First, seen.Second);
                Assert.Equal(0, seen.TooWide);
                Assert.Contains("tea-4", seen.Text, StringComparison.Ordinal);
                Assert.Contains("A", seen.Stops);
            }
        );
        Assert.All(
            machine,
            seen =>
            {
                Assert.Equal(["fill-chart", "spectrum-chart"], seen.Pixels.Keys.Order());
                Assert.All(seen.Pixels.Values, pixels => Assert.InRange(pixels, 1_000, 10_000_000));
                Assert.Contains("the machine's cycle", seen.Text, StringComparison.Ordinal);
            }
        );
    }

    private static async Task UntilThereIsASpectrumAsync(Uri events)
    {
        using HttpClient viewer = new();
        using StreamReader lines = new(await viewer.GetStreamAsync(events, s_end));
        while (await lines.ReadLineAsync(s_end) is { } line)
        {
            if (!line.StartsWith("data: ", StringComparison.Ordinal))
                continue;
            using JsonDocument frame = JsonDocument.Parse(line["data: ".Length..]);
            if (
                frame.RootElement.GetProperty("machine").TryGetProperty("spectrum", out JsonElement spectrum)
                && spectrum.GetProperty("lines").ValueKind == JsonValueKind.Array
            )
                return;
        }
        throw new EndOfStreamException("The events ended.");
    }
}
