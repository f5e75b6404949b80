using System.CommandLine;
using System.Net.Sockets;
using Dancerwatch.EdgeAgent.Demo;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch demo</c>: the main job on one computer, in a few minutes.</summary>
internal static class DemoCommand
{
    public static Command Create()
    {
        PortOption controllerPort = new("--controller-port", "the virtual controller", usual: 0);
        PortOption brokerPort = new("--broker-port", "the broker", usual: 0);
        RecordOption record = new();
        ExampleCommand command = new(
            "demo",
            "Shows it all on this computer: virtual machines over real EtherNet/IP, faults, warnings over MQTT, trips. A little over two minutes.",
            "dancerwatch demo\ndancerwatch demo --broker-port 1883"
        )
        {
            controllerPort,
            brokerPort,
            record,
        };
        command.SetAction(
            async (parsed, cancellation) =>
            {
                using ILoggerFactory loggers = LoggerFactory.Create(log =>
                    log.SetMinimumLevel(LogLevel.Error).AddSimpleConsole()
                );
                DemoRun demo = new(parsed.InvocationConfiguration.Output, loggers, TimeProvider.System);
                (int controller, int broker) = (parsed.GetValue(controllerPort), parsed.GetValue(brokerPort));
                try
                {
                    bool asPromised = await demo.RunAsync(
                        controller,
                        broker,
                        parsed.GetValue(record),
                        cancellation
                    );
                    return asPromised ? ExitCodes.Ok : ExitCodes.Findings;
                }
                catch (SocketException e)
                {
                    return PortOption.Refused(parsed.InvocationConfiguration.Error, controller, broker, e);
                }
            }
        );
        return command;
    }
}
