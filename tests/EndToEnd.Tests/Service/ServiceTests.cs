using Dancerwatch.EdgeAgent.Tests.Hosting;
using Dancerwatch.EdgeAgent.Tests.Hosting.Service;
using Dancerwatch.EndToEnd.Tests.Outbox;

namespace Dancerwatch.EndToEnd.Tests.Service;

/// <summary>The daemon as a process of its own under a socket that plays the service manager.</summary>
public sealed class ServiceTests : IAsyncDisposable
{
    private readonly TestHall _hall = new("packing", machines: 3);
    private readonly string _config = Path.GetTempFileName();

    public ValueTask DisposeAsync()
    {
        File.Delete(_config);
        return _hall.DisposeAsync();
    }

    [Theory, InlineData(false), InlineData(true)]
    public async Task A_service_is_ready_alive_reloaded_and_stopped_in_that_order(bool isAbstract)
    {
        await WriteAsync(_hall.Configuration(machines: 1));
        using FakeManager manager = new(isAbstract);
        await using AgentProcess agent = AgentProcess.Start(
            _config,
            $"NOTIFY_SOCKET={manager.Address}",
            "WATCHDOG_USEC=200000"
        );
        await manager.HeardAsync("READY=1");
        await manager.HeardAsync("STATUS=Machines: 1; all controllers read; nothing is published");
        int pings = manager.Count("WATCHDOG=1");
        await Eventually.IsTrueAsync(() => manager.Count("WATCHDOG=1") > pings + 5);

        // A bad one: every mistake in the log, and the old one goes on.
        await WriteAsync(
            _hall.Configuration(machines: 2).Replace("\"line\"", "\"lane\"", StringComparison.Ordinal)
        );
        await agent.SendAsync("HUP");
        await agent.LogsAsync("machines[packing-1].lane is not a known key");
        await agent.LogsAsync("machines[packing-2].lane is not a known key");
        await agent.LogsAsync("is refused, and the old one stays in force. To put right: 2");
        await Eventually.IsTrueAsync(() => manager.Count("READY=1") == 2);
        Assert.Equal(1, manager.Count("RELOADING=1"));
        Assert.Equal(0, manager.Count("STATUS=Machines: 2; all controllers read; nothing is published"));

        // A good one, noticed without a signal.
        await WriteAsync(_hall.Configuration(machines: 3));
        await agent.LogsAsync("The changed configuration is in force");
        await manager.HeardAsync("STATUS=Machines: 3; all controllers read; nothing is published");
        Assert.Equal(2, manager.Count("RELOADING=1"));

        // Another hang-up with nothing changed touches nothing.
        long clients = _hall.Clients;
        await agent.SendAsync("HUP");
        await agent.LogsAsync("Of what runs, touched was: nothing");
        Assert.Equal(clients, _hall.Clients);

        long before = TimeProvider.System.GetTimestamp();
        Assert.Equal(0, await agent.StopAsync());
        Assert.InRange(TimeProvider.System.GetElapsedTime(before).TotalSeconds, 0, 8);
        Assert.Equal(1, manager.Count("STOPPING=1"));
        string[] said =
        [
            .. manager.Received.Where(text => !text.StartsWith("WATCHDOG", StringComparison.Ordinal)),
        ];
        Assert.StartsWith("READY=1", said[0], StringComparison.Ordinal);
        Assert.StartsWith("STOPPING=1", said[^1], StringComparison.Ordinal);
        await Eventually.IsTrueAsync(() => _hall.Controller.OpenConnections == 0); // Forward Close was sent
    }

    private Task WriteAsync(string text) =>
        File.WriteAllTextAsync(_config, text, TestContext.Current.CancellationToken);
}
