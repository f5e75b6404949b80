using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Hosting.Service;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EdgeAgent.Tests.Hosting.Service;

/// <summary>An agent in real time between virtual controllers and a socket that plays the service manager.</summary>
public sealed class HeartbeatTests
{
    private const int ConnectionLost = 1003;
    private const int LoopStuck = 2205;
    private static readonly TimeSpan s_watchdog = TimeSpan.FromMilliseconds(200);

    [Fact]
    public async Task An_unreachable_controller_is_no_stuck_loop_and_a_stuck_loop_is_no_ping()
    {
        await using TestHall tea = new("tea");
        await using TestHall herb = new("herb");
        ControllerSettings nobody = new()
        {
            Name = "nobody",
            Host = "127.0.0.1",
            Port = LoopbackPort.Free(),
        };
        AgentSettings settings = TestHall.Watching(
            [tea.Settings, herb.Settings, nobody],
            tea.Machine(1),
            herb.Machine(1),
            tea.Machine(1) with
            {
                Name = "lonely-1",
                Controller = "nobody",
            }
        );
        using GatedLog log = new();
        using FakeManager fake = new();
        using ServiceManager manager = new(fake.Address, s_watchdog, TimeProvider.System);
        await using RunningAgent running = new(settings, log);
        using CancellationTokenSource stop = new();
        DirectoryInfo directory = Directory.CreateTempSubdirectory("dancerwatch-alive-");
        AliveFile alive = new(directory.FullName, TimeProvider.System);
        Task beating = new Heartbeat(
            running.Agent,
            manager,
            TimeProvider.System,
            log.CreateLogger("heartbeat"),
            alive
        ).RunAsync(stop.Token);

        await fake.HeardAsync("READY=1");
        await fake.HeardAsync("STATUS=Machines: 3; not read: nobody; nothing is published");
        await PingedAsync(fake, fake.Count("WATCHDOG=1") + 5);
        Assert.Null(running.Agent.StuckLoop());
        await Eventually.IsTrueAsync(() => alive.Age() < s_watchdog);

        log.Hang(ConnectionLost);
        await tea.Controller.StopAsync(); // its loop wants to tell of it, and hangs
        Assert.Contains("controller tea hangs", await log.LoggedAsync(LoopStuck), StringComparison.Ordinal);
        // What was sent before is heard by then, however busy the computer.
        await Eventually.IsTrueAsync(() => alive.Age() > 3 * s_watchdog);
        int pings = fake.Count("WATCHDOG=1");
        await Eventually.IsTrueAsync(() => alive.Age() > 6 * s_watchdog);
        Assert.Equal(pings, fake.Count("WATCHDOG=1"));

        log.Release();
        await PingedAsync(fake, pings + 5);
        Assert.Equal(1, log.Entries.Count(entry => entry.Id == LoopStuck));
        Assert.Equal(1, fake.Count("READY=1"));
        await stop.CancelAsync();
        await beating;
        directory.Delete(recursive: true);
    }

    [Fact]
    public async Task An_agent_with_a_hung_loop_still_stops()
    {
        await using TestHall tea = new("tea");
        using GatedLog log = new();
        await using RunningAgent running = new(TestHall.Watching([tea.Settings], tea.Machine(1)), log);
        await running.ComesRoundAsync();
        log.Hang(ConnectionLost);
        await tea.Controller.StopAsync();
        await log.LoggedAsync(ConnectionLost);

        await running.StopAsync();

        Assert.Contains(log.Entries, entry => entry.Id == 2207);
        Assert.Contains(log.Entries, entry => entry.Id == 2201);
        log.Release();
    }

    [Fact]
    public async Task Ready_is_not_told_before_every_loop_has_come_round()
    {
        await using TestHall tea = new("tea");
        using GatedLog log = new();
        log.Hang(1000); // connected
        using FakeManager fake = new();
        using ServiceManager manager = new(fake.Address, s_watchdog, TimeProvider.System);
        await using RunningAgent running = new(TestHall.Watching([tea.Settings], tea.Machine(1)), log);
        using CancellationTokenSource stop = new();
        Task beating = new Heartbeat(
            running.Agent,
            manager,
            TimeProvider.System,
            NullLogger.Instance
        ).RunAsync(stop.Token);

        await log.LoggedAsync(1000);
        await PingedAsync(fake, 2);
        Assert.Equal(0, fake.Count("READY=1"));

        log.Release();
        await fake.HeardAsync("READY=1");
        await stop.CancelAsync();
        await beating;
    }

    private static Task PingedAsync(FakeManager fake, int times) =>
        Eventually.IsTrueAsync(() => fake.Count("WATCHDOG=1") >= times, seconds: 20);
}
