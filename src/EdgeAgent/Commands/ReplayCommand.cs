using System.CommandLine;
using Dancerwatch.EdgeAgent.Commands.Replays;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.Recorded;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch replay</c>: what would have been warned of, had it been watched.</summary>
internal static class ReplayCommand
{
    public static Command Create()
    {
        ConfigOption config = new();
        Option<string> input = new("--input")
        {
            Description =
                "Trace (CSV): a header, time_s or time, columns as configured; what 'run --record' writes.",
            HelpName = "TRACE.csv",
            Required = true,
        };
        Option<string> events = new("--events")
        {
            Description = "File the events go to, one a line; overwritten.",
            HelpName = "OUT.jsonl",
            Required = true,
        };
        Option<string> machine = new("--machine")
        {
            Description =
                "Replay this machine only; needed where the trace does not say which machine it is of.",
            HelpName = "NAME",
        };
        ExampleCommand command = new(
            "replay",
            "Turns a recorded trace into the very events that would have been published.",
            "dancerwatch replay --config config/tea-hall.jsonc --input monday.csv --events monday.jsonl"
        )
        {
            config,
            input,
            events,
            machine,
        };
        command.SetAction(
            (parsed, cancellation) =>
                Task.FromResult(
                    config.Load(parsed) is { } settings
                    && Choose(settings, parsed.GetValue(machine), parsed.InvocationConfiguration.Error)
                        is { Count: > 0 } machines
                        ? Replay(
                            settings,
                            machines,
                            parsed.GetRequiredValue(input),
                            parsed.GetRequiredValue(events),
                            parsed.InvocationConfiguration.Output,
                            cancellation
                        )
                        : ExitCodes.Usage
                )
        );
        return command;
    }

    private static IReadOnlyList<WatchedMachineSettings> Choose(
        AgentSettings settings,
        string? name,
        TextWriter error
    )
    {
        if (name is null)
            return settings.Machines;
        List<WatchedMachineSettings> chosen = [.. settings.Machines.Where(machine => machine.Name == name)];
        if (chosen.Count == 0)
            error.WriteLine(
                $"--machine is \"{name}\". Allowed: {string.Join(", ", settings.Machines.Select(machine => machine.Name))}."
            );
        return chosen;
    }

    private static int Replay(
        AgentSettings settings,
        IReadOnlyList<WatchedMachineSettings> machines,
        string input,
        string eventsPath,
        TextWriter output,
        CancellationToken cancellation
    )
    {
        using FileStream file = File.OpenRead(input);
        string[] others = [.. settings.Machines.Except(machines).Select(machine => machine.Name)];
        using CsvTraceReader trace = new(file, machines, others);
        using FileStream eventsFile = File.Create(eventsPath);
        using BufferedStream buffered = new(eventsFile);
        EventsFile events = new(buffered);

        TraceReplay.Run(settings, machines, trace, events, cancellation);

        output.WriteLine($"{trace.Rows} readings, {events.Count} events in {eventsPath}");
        foreach (TraceFinding finding in trace.Findings.All)
            output.WriteLine($"  LOOK  {finding}");
        return trace.Findings.All.Count > 0 ? ExitCodes.Findings : ExitCodes.Ok;
    }
}
