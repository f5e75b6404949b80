using System.Diagnostics.Metrics;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Hosting;
using Dancerwatch.EdgeAgent.Telemetry;
using Dancerwatch.EdgeAgent.Tests.Commands;

namespace Dancerwatch.EdgeAgent.Tests.Hosting;

public sealed class PartDiedTests
{
    [Fact]
    public async Task A_poll_loop_that_dies_ends_the_whole_with_a_fault_that_names_it_whatever_killed_it()
    {
        await using TestHall tea = new("tea-of-the-dead");
        await using TestHall herb = new("herb");
        using MeterListener killer = Killer(tea.Name);
        using GatedLog log = new();
        AgentSettings settings = TestHall.Watching(
            [herb.Settings, tea.Settings],
            herb.Machine(1),
            tea.Machine(1)
        );
        await using RunningAgent running = new(settings, log);

        PartDiedException died = await Assert.ThrowsAsync<PartDiedException>(() =>
            running.Running.WaitAsync(TimeSpan.FromSeconds(20), TestContext.Current.CancellationToken)
        );

        Assert.StartsWith(
            "The poll loop of controller tea-of-the-dead has died: no space",
            died.Message,
            StringComparison.Ordinal
        );
        Assert.Contains(log.Entries, entry => entry.Id == 2206);
        Assert.Contains(log.Entries, entry => entry.Id == 2201);
    }

    [Fact]
    public async Task The_program_then_ends_with_the_exit_code_of_a_fault_so_that_it_is_started_anew()
    {
        await using TestHall tea = new("tea-of-the-doomed");
        using MeterListener killer = Killer(tea.Name);
        string config = Path.GetTempFileName();
        await File.WriteAllTextAsync(config, tea.Configuration(), TestContext.Current.CancellationToken);

        ProgramRun run = await ProgramRun.Of("run", "--config", config);

        File.Delete(config);
        Assert.Equal(ExitCodes.Fault, run.Code);
        Assert.Contains("The poll loop of controller tea-of-the-doomed", run.Error, StringComparison.Ordinal);
    }

    /// <summary>Measurements of one controller throw where they are taken, which is in its poll loop.</summary>
    private static MeterListener Killer(string controller)
    {
        MeterListener listener = new()
        {
            InstrumentPublished = (instrument, listener) =>
            {
                if (instrument.Meter.Name == AgentTelemetry.Name && instrument.Name == "edgeagent.polls")
                    listener.EnableMeasurementEvents(instrument);
            },
        };
        listener.SetMeasurementEventCallback<long>(
            (_, _, tags, _) =>
            {
                // An IOException: of all that could kill it, the one that looks most like a file's trouble.
                if (tags[0].Value as string == controller)
                    throw new IOException("no space");
            }
        );
        listener.Start();
        return listener;
    }
}
