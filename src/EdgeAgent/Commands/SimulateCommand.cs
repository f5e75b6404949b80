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

    public static Command Create()
    {
        PortOption controllerPort = new("--controller-port", "the virtual controller", EtherNetIpPort);
        PortOption brokerPort = new("--broker-port", "the broker", MqttPort);
        ExampleCommand command = new(
            "simulate",
            "Runs the virtual hall and a broker until stopped, for check, run and tail with config/tea-hall.jsonc.",
            "dancerwatch simulate"
        )
        {
            controllerPort,
            brokerPort,
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

    private static async Task SimulateAsync(
        int controllerPort,
        int brokerPort,
        TextWriter output,
        CancellationToken cancellation
    )
    {
        PackingHall hall = new(TeaHall.Machines, TimeProvider.System)
        {
            RestartAfter = s_restart,
            Tripped = trip => output.WriteLine($"{trip.Machine} tripped past {DemoJournal.SideOf(trip)}."),
        };
        hall.Controller.Start(new IPEndPoint(IPAddress.Loopback, controllerPort));
        await using EmbeddedBroker broker = await EmbeddedBroker.StartAsync(brokerPort);
        await output.WriteLineAsync(
            $"Controller at {hall.Controller.EndPoint} (EtherNet/IP), broker at 127.0.0.1:{broker.Port} (MQTT). Ctrl-C ends."
        );
        await hall.RunAsync(cancellation);
        await hall.Controller.StopAsync();
    }
}
