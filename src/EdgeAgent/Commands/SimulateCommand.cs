using System.CommandLine;
using System.Net;
using System.Net.Sockets;
using Dancerwatch.EdgeAgent.Demo;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.VirtualMachine.Hall;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch simulate</c>: the demo's hall and broker alone, to try the other commands on.</summary>
internal static class SimulateCommand
{
    private const int EtherNetIpPort = 44818;
    private const int MqttPort = 1883;
    private static readonly TimeSpan s_restart = TimeSpan.FromSeconds(30);
    private static readonly string[] s_names = [.. TeaHall.Machines.Select(machine => machine.Name)];

    public static Command Create()
    {
        PortOption controllerPort = new("--controller-port", "the virtual controller", EtherNetIpPort);
        PortOption brokerPort = new("--broker-port", "the broker", MqttPort);
        Option<string?> hand = new("--hand")
        {
            Description =
                $"A machine to work at: it stands, and does what is typed a line at a time ({string.Join(", ", SimulatedHand.Words)}), for survey take.",
            HelpName = "NAME",
        };
        hand.Validators.Add(option =>
        {
            if (option.GetValueOrDefault<string?>() is { } name && !s_names.Contains(name))
                option.AddError($"--hand is \"{name}\". Allowed: {string.Join(", ", s_names)}. Try tea-1.");
        });
        ExampleCommand command = new(
            "simulate",
            "Runs the virtual hall and a broker until stopped, for check, run, tail and survey with config/tea-hall.jsonc.",
            "dancerwatch simulate\ndancerwatch simulate --hand tea-1"
        )
        {
            controllerPort,
            brokerPort,
            hand,
        };
        command.SetAction(
            async (parsed, cancellation) =>
            {
                (int controller, int broker) = (parsed.GetValue(controllerPort), parsed.GetValue(brokerPort));
                try
                {
                    await SimulateAsync(
                        controller,
                        broker,
                        Array.IndexOf(s_names, parsed.GetValue(hand)),
                        parsed.InvocationConfiguration.Output,
                        cancellation
                    );
                    return ExitCodes.Ok;
                }
                catch (SocketException e)
                {
                    return PortOption.Refused(parsed.InvocationConfiguration.Error, controller, broker, e);
                }
            }
        );
        return command;
    }

    /// <summary>The machine that is worked at has nothing wrong with it.</summary>
    private static IReadOnlyList<HallMachine> MachinesFor(int worked) =>
        [.. TeaHall.Machines.Select((machine, i) => i == worked ? machine with { Faults = [] } : machine)];

    private static async Task SimulateAsync(
        int controllerPort,
        int brokerPort,
        int worked,
        TextWriter output,
        CancellationToken cancellation
    )
    {
        SimulatedHand? hand = worked < 0 ? null : new SimulatedHand(s_names[worked], output.WriteLine);
        PackingHall hall = new(MachinesFor(worked), TimeProvider.System)
        {
            RestartAfter = s_restart,
            LeftToHands = worked < 0 ? null : worked,
            Hands = () => hand?.Act(),
            Tripped = trip => output.WriteLine($"{trip.Machine} tripped past {DemoJournal.SideOf(trip)}."),
        };
        hall.Controller.Start(new IPEndPoint(IPAddress.Loopback, controllerPort));
        await using EmbeddedBroker broker = await EmbeddedBroker.StartAsync(brokerPort);
        await output.WriteLineAsync(
            $"Controller at {hall.Controller.EndPoint} (EtherNet/IP), broker at 127.0.0.1:{broker.Port} (MQTT). Ctrl-C ends."
        );
        if (hand is not null)
        {
            hand.TakeOver(hall.MachineAt(worked));
            await output.WriteLineAsync(
                $"{hand.Machine} stands and waits for your hand: {string.Join(", ", SimulatedHand.Words)}."
            );
            _ = Task.Run(() => hand.ListenAsync(Console.In, cancellation), cancellation);
        }
        await hall.RunAsync(cancellation);
        await hall.Controller.StopAsync();
    }
}
