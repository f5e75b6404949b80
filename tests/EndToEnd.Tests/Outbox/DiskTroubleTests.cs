using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EndToEnd.Tests.Broker;

namespace Dancerwatch.EndToEnd.Tests.Outbox;

/// <summary>A disk that is full, and a state directory that is no use.</summary>
public sealed class DiskTroubleTests
{
    private static CancellationToken Cancellation => TestContext.Current.CancellationToken;

    [Fact]
    public async Task With_the_broker_away_a_full_disk_costs_what_memory_cannot_hold_which_is_told_and_nothing_else()
    {
        await using MosquittoHall broker = new(persistent: true);
        await broker.StartAsync();
        await using ToolProcess scada = broker.SubscribeToEvents();
        await broker.EventsSubscribedAsync();
        await using RestlessHall hall = new();
        using StateDirectory state = new();
        await using SmallDisk disk = await SmallDisk.MountAsync(state.Place);
        string configuration = state.PathOf("hall.jsonc");
        await File.WriteAllTextAsync(
            configuration,
            hall.Configuration(
                broker.SettingsFor("dancerwatch"),
                state.Place,
                new OutboxSettings { MemoryEvents = 100 }
            ),
            Cancellation
        );
        await using AgentProcess agent = AgentProcess.Start(configuration);
        await Delivery.ReachesAsync(scada, 1);

        await broker.PauseAsync();
        disk.Fill();
        await agent.LogsAsync("The outbox cannot be written");
        int before = Raised(agent);
        await Eventually.IsTrueAsync(() => Raised(agent) > before + 250, "memory is full too", seconds: 60);
        Assert.True(agent.Runs);
        disk.Free();
        await agent.LogsAsync("The outbox can be written again");
        await broker.ResumeAsync();
        hall.Quieten();
        Assert.Equal(0, await agent.StopAsync());

        long last = await AgentProcess.DrainAsync(
            configuration,
            state,
            number => Delivery.ReachesAsync(scada, number)
        );
        Delivery delivery = new(scada.Lines);
        Torture.Say(
            $"600 kB full and freed: {last} numbers given, {delivery.Arrived.Count} events arrived, {delivery.Lost.Count} told as lost"
        );
        Assert.Empty(delivery.Contradictions);
        Assert.Empty(delivery.Missing(last));
        Assert.InRange(delivery.Lost.Count, 1, int.MaxValue);
        // What came once the disk was full and the memory with it; before and after nothing.
        Assert.Equal(delivery.Lost.Count, delivery.Lost.Max() - delivery.Lost.Min() + 1);
    }

    [Fact]
    public async Task With_a_broker_at_hand_warnings_go_on_though_the_disk_is_full()
    {
        await using MosquittoHall broker = new();
        await broker.StartAsync();
        await using ToolProcess scada = broker.SubscribeToEvents();
        await using RestlessHall hall = new();
        using StateDirectory state = new();
        await using SmallDisk disk = await SmallDisk.MountAsync(state.Place);
        string configuration = state.PathOf("hall.jsonc");
        await File.WriteAllTextAsync(
            configuration,
            hall.Configuration(broker.SettingsFor("dancerwatch"), state.Place),
            Cancellation
        );
        await using AgentProcess agent = AgentProcess.Start(configuration);
        await Delivery.ReachesAsync(scada, 10);

        disk.Fill();

        // More than two segments' worth.
        await Delivery.ReachesAsync(scada, 260);
        await agent.LogsAsync("The outbox cannot be written");
        await agent.LogsAsync("The outbox can be written again");
        Delivery delivery = new(scada.Lines);
        Assert.Empty(delivery.Lost);
        Assert.Empty(delivery.Missing(260));
    }

    [Fact]
    public async Task A_state_directory_that_cannot_be_written_is_refused_at_the_start_with_one_clear_error()
    {
        using StateDirectory state = new();
        await using SmallDisk disk = await SmallDisk.MountAsync(state.Place, readOnly: true);

        (int code, string error) = await RefusedAsync(state, state.Place);

        Assert.Equal(ExitCodes.File, code);
        Assert.Equal(
            $"stateDirectory is of no use at {state.Place}: Read-only file system : '{state.Place}/outbox'. Allowed: a directory of this daemon alone that its user may write to, with space left. Correct its owner, or name another under stateDirectory.",
            error
        );
    }

    [Fact]
    public async Task A_file_where_the_state_directory_should_be_is_refused()
    {
        using StateDirectory state = new();
        await File.WriteAllTextAsync(state.Place, "not a directory", Cancellation);

        (int code, string error) = await RefusedAsync(state, state.Place);

        Assert.Equal(ExitCodes.File, code);
        Assert.StartsWith($"stateDirectory is of no use at {state.Place}: ", error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_state_directory_of_another_daemon_that_runs_is_refused()
    {
        await using MosquittoHall broker = new();
        await using RestlessHall hall = new(machines: 1);
        using StateDirectory state = new();
        string configuration = state.PathOf("hall.jsonc");
        await File.WriteAllTextAsync(
            configuration,
            hall.Configuration(broker.SettingsFor("dancerwatch"), state.Place),
            Cancellation
        );
        await using AgentProcess first = AgentProcess.Start(configuration);
        await first.LogsAsync("Watching");

        (int code, string error) = await RefusedAsync(state, state.Place);

        Assert.Equal(ExitCodes.File, code);
        Assert.Contains("used by another process", error, StringComparison.Ordinal);
        Assert.True(first.Runs);
    }

    [Fact]
    public async Task Where_none_is_named_the_state_directory_the_service_manager_gives_is_used()
    {
        await using MosquittoHall broker = new();
        await using RestlessHall hall = new(machines: 1);
        using StateDirectory state = new();
        string configuration = state.PathOf("hall.jsonc");
        await File.WriteAllTextAsync(
            configuration,
            hall.Configuration(broker.SettingsFor("dancerwatch"), stateDirectory: null),
            Cancellation
        );

        await using AgentProcess agent = AgentProcess.Start(configuration, $"STATE_DIRECTORY={state.Place}");
        await agent.LogsAsync("data-lost raised");
        Assert.Equal(0, await agent.StopAsync());

        Assert.NotEmpty(state.Kept());
    }

    private static int Raised(AgentProcess agent) =>
        agent.Log.Count(line => line.Contains(": data-lost ", StringComparison.Ordinal));

    private static async Task<(int Code, string Error)> RefusedAsync(StateDirectory state, string place)
    {
        await using MosquittoHall broker = new();
        await using RestlessHall hall = new(machines: 1);
        string configuration = state.PathOf("refused.jsonc");
        await File.WriteAllTextAsync(
            configuration,
            hall.Configuration(broker.SettingsFor("dancerwatch"), place),
            Cancellation
        );
        await using AgentProcess agent = AgentProcess.Start(configuration);
        int code = await agent.EndedAsync();
        return (code, Assert.Single(agent.Log));
    }
}
