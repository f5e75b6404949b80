using System.CommandLine;
using Dancerwatch.EdgeAgent.Commands.Replays;
using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch replay</c>: what would have been warned of, had it been watched.</summary>
internal static class ReplayCommand
{
    public static Command Create()
    {
        HistoryOptions history = new();
        Option<string> events = new("--events")
        {
            Description = "File the events go to, one a line; overwritten.",
            HelpName = "OUT.jsonl",
            Required = true,
        };
        ExampleCommand command = new(
            "replay",
            "Turns recordings, or a recorded trace, into the very events that would have been published.",
            "dancerwatch replay --config config/tea-hall.jsonc --input /var/lib/dancerwatch/recordings --from 2026-11-25 --events wednesday.jsonl\ndancerwatch replay --config config/tea-hall.jsonc --input monday.csv --events monday.jsonl"
        );
        history.AddTo(command);
        command.Add(events);
        command.SetAction(
            async (parsed, cancellation) =>
                history.Load(parsed) is not { } chosen
                    ? ExitCodes.Usage
                    : await ReplayAsync(
                        chosen.Settings,
                        chosen.Machines,
                        () => history.Open(parsed, chosen.Settings, chosen.Machines),
                        parsed.GetRequiredValue(events),
                        parsed.InvocationConfiguration,
                        cancellation
                    )
        );
        return command;
    }

    private static async Task<int> ReplayAsync(
        AgentSettings settings,
        IReadOnlyList<WatchedMachineSettings> machines,
        Func<Histories> open,
        string eventsPath,
        InvocationConfiguration console,
        CancellationToken cancellation
    )
    {
        using Histories histories = open();
        await using FileStream eventsFile = File.Create(eventsPath);
        await using BufferedStream buffered = new(eventsFile);
        EventsFile events = new(buffered);

        Task replaying = Task.Run(
            () => TraceReplay.RunAsync(settings, machines, histories, events, cancellation),
            cancellation
        );
        await new ProgressReport(console.Error, TimeProvider.System).FollowAsync(
            replaying,
            () => histories.Progress,
            () => histories.Rows
        );

        await console.Output.WriteLineAsync(
            $"{histories.Rows} readings, {events.Count} events in {eventsPath}"
        );
        string[] findings = [.. histories.Findings];
        foreach (string finding in findings)
            await console.Output.WriteLineAsync($"  LOOK  {finding}");
        return findings.Length > 0 ? ExitCodes.Findings : ExitCodes.Ok;
    }
}
