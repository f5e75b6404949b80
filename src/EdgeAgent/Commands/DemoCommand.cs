using System.CommandLine;
using Dancerwatch.EdgeAgent.Demo;
using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch demo</c>: the main job on one computer, in a few minutes.</summary>
internal static class DemoCommand
{
    public static Command Create()
    {
        PortOption port = new("--controller-port", "the virtual controller", usual: 0);
        RecordOption record = new();
        ExampleCommand command = new(
            "demo",
            "Shows it all on this computer: virtual machines over real EtherNet/IP, faults, warnings over MQTT, trips. A little over two minutes.",
            "dancerwatch demo"
        )
        {
            port,
            record,
        };
        command.SetAction(
            async (parsed, cancellation) =>
            {
                using ILoggerFactory loggers = LoggerFactory.Create(log =>
                    log.SetMinimumLevel(LogLevel.Error).AddSimpleConsole()
                );
                DemoRun demo = new(parsed.InvocationConfiguration.Output, loggers, TimeProvider.System);
                bool asPromised = await demo.RunAsync(
                    parsed.GetValue(port),
                    parsed.GetValue(record),
                    cancellation
                );
                return asPromised ? ExitCodes.Ok : ExitCodes.Findings;
            }
        );
        return command;
    }
}
