using System.Net;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Hosting;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.VirtualMachine.Hall;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Demo;

/// <summary>
/// The whole main job on one computer: a virtual hall behind a real EtherNet/IP controller, a broker, the agent between them
/// just as <c>run</c> starts it, and a listener that hears what any subscriber would.
/// </summary>
internal sealed class DemoRun(TextWriter output, ILoggerFactory loggers, TimeProvider time)
{
    /// <summary>By then every fault of the hall has had its trip, or something is wrong.</summary>
    public static readonly TimeSpan Longest = TimeSpan.FromMinutes(4);

    // After the last trip: the warnings it clears, and a look at the healthy machine.
    private static readonly TimeSpan s_afterwards = TimeSpan.FromSeconds(5);

    /// <summary>Runs until every faulty machine has tripped.</summary>
    /// <param name="controllerPort">Port for the hall's controller; 0 for any.</param>
    /// <param name="brokerPort">Port for the broker, where any subscriber may listen along; 0 for any.</param>
    /// <param name="recordDirectory">Where every reading is recorded; null for nowhere.</param>
    /// <returns>True where each trip was warned of before it came, on its side, and the healthy machine was left in peace.</returns>
    public async Task<bool> RunAsync(
        int controllerPort,
        int brokerPort,
        string? recordDirectory,
        CancellationToken cancellation
    )
    {
        IReadOnlyList<HallMachine> machines = TeaHall.Machines;
        DemoJournal journal = new(time);
        DemoVoice voice = new(output, journal, time);
        PackingHall hall = new(machines, time) { Tripped = voice.Tripped };
        hall.Controller.Start(new IPEndPoint(IPAddress.Loopback, controllerPort));
        await using EmbeddedBroker broker = await EmbeddedBroker.StartAsync(brokerPort);
        AgentSettings settings = TeaHallSettings.Load(hall.Controller.EndPoint.Port, broker.Port);
        voice.Say(
            $"""
            A virtual tea-packing hall: {machines.Count} machines, one controller at {hall.Controller.EndPoint} (EtherNet/IP),
            a broker at 127.0.0.1:{broker.Port} (MQTT). Faults will develop in all but one. Below: each warning as it comes from
            the broker, and each trip as the machine makes it. Ends by itself.

            """
        );

        using CancellationTokenSource end = CancellationTokenSource.CreateLinkedTokenSource(cancellation);
        MqttSettings ears = settings.Mqtt! with { ClientId = "demo-listener" };
        await using (Agent agent = new(settings, time, loggers, recordDirectory))
        {
            List<Task> loops = [new EventListener(ears, voice, time).RunAsync(end.Token)];
            await voice.Listening.WaitAsync(cancellation);
            loops.Add(hall.RunAsync(end.Token));
            loops.Add(agent.RunAsync(end.Token));
            await UntilAllHaveTrippedAsync(machines, journal, loops, cancellation);
            await end.CancelAsync();
            await Task.WhenAll(loops);
        }

        MachineOutcome[] outcomes = [.. machines.Select(journal.Outcome)];
        voice.SumUp(
            outcomes,
            $"The controller was asked {hall.Controller.Counters.Requests.Values.Sum()} times, {hall.Controller.Counters.RefusedWrites} of them to change something."
        );
        await hall.Controller.StopAsync();
        return outcomes.All(outcome => outcome.IsRight);
    }

    private async Task UntilAllHaveTrippedAsync(
        IReadOnlyList<HallMachine> machines,
        DemoJournal journal,
        List<Task> loops,
        CancellationToken cancellation
    )
    {
        long start = time.GetTimestamp();
        using PeriodicTimer look = new(TimeSpan.FromMilliseconds(200), time);
        while (
            time.GetElapsedTime(start) < Longest
            && !machines.All(machine => machine.Faults.Count == 0 || journal.HasTripped(machine.Name))
            && !loops.Exists(loop => loop.IsCompleted)
        )
        {
            await look.WaitForNextTickAsync(cancellation);
        }
        await Task.Delay(s_afterwards, time, cancellation);
    }
}
