using System.CommandLine;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.Fleet.Hosting;

namespace Dancerwatch.Fleet.Commands;

/// <summary><c>dancerwatch-fleet run</c>: one host of a fleet.</summary>
internal static class RunCommand
{
    public static Command Create()
    {
        ConfigOption config = new();
        Option<string?> database = new("--database-file")
        {
            Description =
                "File whose first line says how PostgreSQL is reached, e.g. Host=192.0.2.5;Database=fleet;Username=fleet;Password=...",
            HelpName = "FILE",
        };
        Option<bool> alone = new("--alone")
        {
            Description =
                "No other hosts and no database: for a first try. Nothing but the outbox outlives the program.",
        };
        Option<string> host = new("--host")
        {
            Description = "Name of this host, another on each; the computer's where left out.",
            HelpName = "NAME",
            DefaultValueFactory = _ => Environment.MachineName,
        };
        host.Validators.Add(result =>
        {
            string name = result.GetValueOrDefault<string>() ?? "";
            if (
                name.Length is 0 or > 60
                || name.Any(letter => !char.IsAsciiLetterOrDigit(letter) && letter is not ('-' or '_' or '.'))
            )
                result.AddError(
                    $"--host is '{name}'. It becomes part of topics: up to 60 letters, digits, '-', '_' and '.'. Try host-1."
                );
        });
        Option<string> fleet = new("--fleet")
        {
            Description = "Name of the fleet: hosts of one name and database share the controllers.",
            HelpName = "NAME",
            DefaultValueFactory = _ => "dancerwatch",
        };
        AddressOption address = new(
            "--address",
            "This computer's address, by which the other hosts reach it."
        );
        Option<int?> port = new("--port")
        {
            Description = "TCP port of this computer for the other hosts; 11111 where left out.",
            HelpName = "PORT",
        };
        port.MustBe(1, 65_535, "--port must be a port, 1 to 65535. Try 11111.");
        Option<double?> lease = new("--lease-seconds")
        {
            Description =
                "A host polls no longer than so after its last word to the database, and another begins no sooner; 4 where left out.",
            HelpName = "S",
        };
        lease.MustBe(2, 300, "--lease-seconds must be a number from 2 to 300. Try 4.");
        Option<double?> probe = new("--probe-seconds")
        {
            Description =
                "Hosts ask each other so often whether they are there; after three unanswered times one is lost. 1 where left out.",
            HelpName = "S",
        };
        probe.MustBe(0.2, 60, "--probe-seconds must be a number from 0.2 to 60. Try 1.");
        Option<double?> save = new("--save-seconds")
        {
            Description =
                "Each machine's windows are saved so often: a host that is lost takes no more than that with it. 600 where left out.",
            HelpName = "S",
        };
        save.MustBe(1, 86_400, "--save-seconds must be a number from 1 to 86400. Try 600.");
        Option<string?> state = new("--state")
        {
            Description = "State directory of this host, in place of the configuration's stateDirectory.",
            HelpName = "DIR",
        };
        ExampleCommand command = new(
            "run",
            "Reads its share of the configuration's controllers, beside the other hosts of the fleet, until stopped.",
            "dancerwatch-fleet run --config plant.jsonc --database-file /etc/dancerwatch/database --address 192.0.2.21\n"
                + "dancerwatch-fleet run --config plant.jsonc --alone"
        )
        {
            config,
            database,
            alone,
            host,
            fleet,
            address,
            port,
            lease,
            probe,
            save,
            state,
        };
        command.SetAction(
            async (parsed, cancellation) =>
            {
                if (config.Load(parsed) is not { } settings)
                    return ExitCodes.Usage;
                List<string> refusals = [.. Refusals(settings)];
                string? file = parsed.GetValue(database);
                if (parsed.GetValue(alone) == (file is not null))
                    refusals.Add("Name a --database-file, or --alone to try it without one; not both.");
                string? connection = file is null ? null : DatabaseFile.Read(file, refusals);
                foreach (string refusal in refusals)
                    await parsed.InvocationConfiguration.Error.WriteLineAsync(refusal);
                if (refusals.Count > 0)
                    return ExitCodes.Usage;
                FleetSettings usual = new() { Host = parsed.GetRequiredValue(host) };
                await FleetHost.RunAsync(
                    settings with
                    {
                        StateDirectory = parsed.GetValue(state) ?? settings.StateDirectory,
                    },
                    usual with
                    {
                        Fleet = parsed.GetRequiredValue(fleet),
                        Database = connection,
                        Address = parsed.GetRequiredValue(address),
                        Port = parsed.GetValue(port) ?? usual.Port,
                        Lease = Seconds(parsed.GetValue(lease)) ?? usual.Lease,
                        Probe = Seconds(parsed.GetValue(probe)) ?? usual.Probe,
                        SaveInterval = Seconds(parsed.GetValue(save)) ?? usual.SaveInterval,
                    },
                    cancellation
                );
                return ExitCodes.Ok;
            }
        );
        return command;
    }

    private static TimeSpan? Seconds(double? seconds) =>
        seconds is { } given ? TimeSpan.FromSeconds(given) : null;

    private static IEnumerable<string> Refusals(AgentSettings settings)
    {
        if (settings.Sparkplug is not null)
            yield return "sparkplug: a Sparkplug node has its machines for good, and a fleet's hosts have not. Leave it out; the daemon serves it.";
        if (settings.StatusPage.Enabled)
            yield return "statusPage: a fleet's host has none. Leave it out; the topics tell the same.";
    }
}
