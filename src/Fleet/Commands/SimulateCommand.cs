using System.CommandLine;
using System.Net;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.Fleet.Demo;

namespace Dancerwatch.Fleet.Commands;

/// <summary><c>dancerwatch-fleet simulate</c>: a plant of virtual machines for a fleet to be tried on.</summary>
internal static class SimulateCommand
{
    private static readonly TimeSpan s_tally = TimeSpan.FromMilliseconds(500);

    public static Command Create()
    {
        Option<int?> machines = new("--machines")
        {
            Description = "How many controllers, with one machine each; 12 where left out.",
            HelpName = "N",
        };
        machines.MustBe(1, 10_000, "--machines must be a number from 1 to 10000. Try 12.");
        AddressOption address = new("--address", "Address of this computer that the controllers listen at.");
        PortOption port = new("--first-port", "the first controller; the others follow", 44_818);
        Option<string> broker = new("--broker")
        {
            Description = "The MQTT broker that the written configuration names.",
            HelpName = "IP:PORT",
            DefaultValueFactory = _ => "127.0.0.1:1883",
        };
        Option<int?> poll = new("--poll-milliseconds")
        {
            Description =
                "How often the written configuration has each controller polled; 100 where left out.",
            HelpName = "MS",
        };
        poll.MustBe(5, 10_000, "--poll-milliseconds must be a number from 5 to 10000. Try 100.");
        Option<double?> restless = new("--restless-seconds")
        {
            Description =
                "Each gap goes missing for a moment about this often, so that conditions come and go; left out: never.",
            HelpName = "S",
        };
        restless.MustBe(2, 86_400, "--restless-seconds must be a number from 2 to 86400. Try 10.");
        Option<string> write = new("--write-config")
        {
            Description = "File that the plant's configuration is written to, for run --config.",
            HelpName = "FILE",
            Required = true,
        };
        Option<string?> polls = new("--polls")
        {
            Description =
                "File that tells which host polled each controller when, and whether two did at once.",
            HelpName = "FILE",
        };
        ExampleCommand command = new(
            "simulate",
            "Serves virtual controllers over EtherNet/IP until stopped, and writes the configuration that watches them.",
            "dancerwatch-fleet simulate --machines 12 --write-config plant.jsonc --polls polls.csv"
        )
        {
            machines,
            address,
            port,
            broker,
            poll,
            restless,
            write,
            polls,
        };
        command.SetAction(
            async (parsed, cancellation) =>
            {
                int count = parsed.GetValue(machines) ?? 12;
                IPAddress at = parsed.GetRequiredValue(address);
                int first = parsed.GetValue(port);
                if (!IPEndPoint.TryParse(parsed.GetRequiredValue(broker), out IPEndPoint? to))
                {
                    await parsed.InvocationConfiguration.Error.WriteLineAsync(
                        $"--broker is {parsed.GetRequiredValue(broker)}. It must be an IP address and a port, e.g. 127.0.0.1:1883."
                    );
                    return ExitCodes.Usage;
                }
                TimeSpan? rest = parsed.GetValue(restless) is { } seconds
                    ? TimeSpan.FromSeconds(seconds)
                    : null;
                await using VirtualPlant plant = new(count, rest, TimeProvider.System);
                plant.Start(at, first);
                await File.WriteAllTextAsync(
                    parsed.GetRequiredValue(write),
                    PlantConfiguration.Of(count, at, first, to, parsed.GetValue(poll) ?? 100),
                    cancellation
                );
                await parsed.InvocationConfiguration.Output.WriteLineAsync(
                    $"{count} controllers at {at}:{first} to {first + count - 1}. Ctrl-C ends."
                );
                Task telling = parsed.GetValue(polls) is { } file
                    ? TellAsync(plant, file, cancellation)
                    : Task.CompletedTask;
                await plant.RunAsync(cancellation);
                await telling;
                return ExitCodes.Ok;
            }
        );
        return command;
    }

    private static async Task TellAsync(VirtualPlant plant, string file, CancellationToken cancellation)
    {
        bool isOver = false;
        while (!isOver)
        {
            isOver = cancellation.IsCancellationRequested;
            await File.WriteAllLinesAsync(
                $"{file}.new",
                plant.Tallies.SelectMany(tally => tally.Lines()),
                CancellationToken.None
            );
            File.Move($"{file}.new", file, overwrite: true);
            await Task.Delay(s_tally, TimeProvider.System, cancellation)
                .ConfigureAwait(ConfigureAwaitOptions.SuppressThrowing);
        }
    }
}
