using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Tests.Hosting;

/// <summary>Another configuration takes the place of the one in force, while controllers count who connects to them.</summary>
public sealed class ReloadTests : IAsyncDisposable
{
    private readonly TestHall _tea = new("tea", machines: 2);
    private readonly TestHall _herb = new("herb", machines: 2);
    private readonly GatedLog _log = new();

    public async ValueTask DisposeAsync()
    {
        await _tea.DisposeAsync();
        await _herb.DisposeAsync();
        _log.Dispose();
    }

    [Fact]
    public async Task What_did_not_change_keeps_its_connection_its_windows_and_its_raised_conditions()
    {
        AgentSettings settings = TestHall.Watching(
            [_tea.Settings, _herb.Settings],
            _tea.Machine(1),
            _tea.Machine(2),
            _herb.Machine(1)
        );
        await using RunningAgent running = new(settings, _log);
        await GoodAsync(running, "tea-1", "tea-2", "herb-1");
        _tea.Lose(1);
        OpenCondition raised = await RaisedAsync(running, "tea-1");
        MachineWatch[] before = [.. running.Agent.Watches];
        await using TestHall mint = new("mint");

        // herb-1 with another setting of a warning, and a new controller with a new machine.
        WatchedMachineSettings herb1 = _herb.Machine(1);
        herb1 = herb1 with
        {
            Machine = herb1.Machine with { Warnings = herb1.Machine.Warnings with { Sensitivity = 1.5 } },
        };
        AgentSettings next = settings with
        {
            Controllers = [.. settings.Controllers, mint.Settings],
            Machines = [_tea.Machine(1), _tea.Machine(2), herb1, mint.Machine(1)],
        };
        Assert.Empty(await running.Agent.ReloadAsync(next));
        await GoodAsync(running, "tea-2", "herb-1", "mint-1");

        Assert.Same(before[0], running.Agent.Watches[0]);
        Assert.Same(before[1], running.Agent.Watches[1]);
        Assert.NotSame(before[2], running.Agent.Watches[2]);
        Assert.Equal(raised, (await RaisedAsync(running, "tea-1")));
        Assert.Equal((1, 1, 1), (_tea.Clients, _herb.Clients, mint.Clients));
        string told = await _log.LoggedAsync(2208);
        Assert.Contains("machines changed: herb-1; controllers added: mint", told, StringComparison.Ordinal);
        Assert.DoesNotContain("tea", told, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_machine_taken_out_ends_with_its_conditions_cleared_and_its_neighbours_watch_goes_on()
    {
        AgentSettings settings = TestHall.Watching(
            [_tea.Settings, _herb.Settings],
            _tea.Machine(1),
            _tea.Machine(2),
            _herb.Machine(1)
        );
        await using RunningAgent running = new(settings, _log);
        await GoodAsync(running, "tea-1", "tea-2", "herb-1");
        _tea.Lose(2);
        await RaisedAsync(running, "tea-2");
        MachineWatch tea1 = running.Agent.Watches[0];
        MachineWatch tea2 = running.Agent.Watches[1];

        AgentSettings next = settings with { Machines = [_tea.Machine(1), _herb.Machine(1)] };
        Assert.Empty(await running.Agent.ReloadAsync(next));

        Assert.Empty(tea2.State()!.Open);
        Assert.Contains(_log.Entries, entry => entry.Id == 2211 && entry.Text == "tea-2: data-lost cleared");
        Assert.Equal([tea1, running.Agent.Watches[1]], running.Agent.Watches);
        // Its tags are others now: it is connected to anew, and nobody else is.
        await Eventually.IsTrueAsync(() => _tea.Clients == 2);
        Assert.Equal(1, _herb.Clients);
        long then = tea1.State()!.Milliseconds;
        await Eventually.IsTrueAsync(() =>
            tea1.State() is { Quality: Quality.Good } state && state.Milliseconds > then
        );
        Assert.DoesNotContain(
            _log.Entries,
            entry => entry.Text.StartsWith("tea-1: ", StringComparison.Ordinal)
        );
    }

    [Fact]
    public async Task A_controller_at_another_address_and_one_taken_out_cost_nobody_else_anything()
    {
        AgentSettings settings = TestHall.Watching(
            [_tea.Settings, _herb.Settings],
            _tea.Machine(1),
            _herb.Machine(1)
        );
        await using RunningAgent running = new(settings, _log);
        await GoodAsync(running, "tea-1", "herb-1");
        MachineWatch[] before = [.. running.Agent.Watches];
        await using TestHall moved = new("herb");

        Assert.Empty(
            await running.Agent.ReloadAsync(settings with { Controllers = [_tea.Settings, moved.Settings] })
        );
        await Eventually.IsTrueAsync(() => moved.Clients == 1);
        await Eventually.IsTrueAsync(() => _herb.Controller.Counters.Clients == 0);
        Assert.Equal(before, running.Agent.Watches); // a machine's windows outlive the move of its controller

        AgentSettings fewer = TestHall.Watching([_tea.Settings], _tea.Machine(1));
        Assert.Empty(await running.Agent.ReloadAsync(fewer));
        await Eventually.IsTrueAsync(() => moved.Controller.Counters.Clients == 0);
        Assert.Equal([before[0]], running.Agent.Watches);
        Assert.Equal(1, _tea.Clients);
    }

    [Fact]
    public async Task What_is_fixed_while_it_runs_is_named_and_nothing_is_done()
    {
        AgentSettings settings = TestHall.Watching([_tea.Settings], _tea.Machine(1));
        await using RunningAgent running = new(settings, _log);
        MachineWatch[] before = [.. running.Agent.Watches];
        AgentSettings next = TestHall.Watching([_herb.Settings], _herb.Machine(1)) with
        {
            Site = "hillside",
            Mqtt = new MqttSettings { Host = "192.0.2.5" },
        };

        IReadOnlyList<string> findings = await running.Agent.ReloadAsync(next);

        Assert.Equal(
            [
                "site is fixed while the daemon runs. Restart it, or put the old value back.",
                "mqtt is fixed while the daemon runs. Restart it, or put the old value back.",
            ],
            findings
        );
        Assert.Equal(before, running.Agent.Watches);
        Assert.Equal(0, _herb.Clients);
    }

    [Fact]
    public async Task A_machine_that_the_mathematics_refuses_leaves_everything_as_it_was()
    {
        AgentSettings settings = TestHall.Watching([_tea.Settings], _tea.Machine(1));
        await using RunningAgent running = new(settings, _log);
        await GoodAsync(running, "tea-1");
        WatchedMachineSettings bad = _herb.Machine(1);
        bad = bad with { Machine = bad.Machine with { Fill = bad.Machine.Fill with { Cam = [(50, 50)] } } };

        string finding = Assert.Single(
            await running.Agent.ReloadAsync(TestHall.Watching([_herb.Settings], bad))
        );

        Assert.Contains("Cam has 1 pair", finding, StringComparison.Ordinal);
        Assert.Equal(["tea-1"], running.Agent.Watches.Select(watch => watch.Place.Machine));
        Assert.Equal((1, 0), (_tea.Clients, _herb.Clients));
    }

    private static Task GoodAsync(RunningAgent running, params string[] machines) =>
        Eventually.IsTrueAsync(
            () =>
                machines.All(machine =>
                    Watch(running, machine).State() is { Quality: Quality.Good } state
                    && state.Open.Count == 0
                ),
            seconds: 20
        );

    private static async Task<OpenCondition> RaisedAsync(RunningAgent running, string machine)
    {
        await Eventually.IsTrueAsync(() => Watch(running, machine).State()?.Open.Count > 0);
        OpenCondition open = Watch(running, machine).State()!.Open[0];
        Assert.Equal(Condition.DataLost, open.Latest.Condition);
        return open;
    }

    private static MachineWatch Watch(RunningAgent running, string machine) =>
        running.Agent.Watches.Single(watch => watch.Place.Machine == machine);
}
