using System.CommandLine;
using Dancerwatch.EdgeAgent.Commands.Replays;
using Dancerwatch.EdgeAgent.Commands.Tuning;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.Signals.Tuning;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch tune</c>: what other settings of the warnings would have told, and which to choose.</summary>
internal static class TuneCommand
{
    private static readonly TuningRules s_rules = new();

    public static Command Create()
    {
        HistoryOptions history = new();
        Option<string[]> tries = new("--try")
        {
            Description =
                $"Values of a setting to try, e.g. limit-approach.limitSeconds=4,8,12; given more than once, all together. Left out: {Candidate.UsualTry}",
            HelpName = "KEY=VALUE,VALUE",
            AllowMultipleArgumentsPerToken = true,
        };
        Option<double> missed = new("--false-per-missed")
        {
            Description = "A missed trip is as bad as so many false warnings.",
            HelpName = "NUMBER",
            DefaultValueFactory = _ => s_rules.FalseWarningsPerMissedTrip,
        };
        missed.MustBe(0.01, 100_000, "--false-per-missed must be a number from 0.01 to 100000. Try 20.");
        Option<double> within = new("--within-minutes")
        {
            Description = "A warning is true when a trip on its side comes so soon after it, min.",
            HelpName = "MINUTES",
            DefaultValueFactory = _ => s_rules.HorizonSeconds / 60,
        };
        within.MustBe(1, 1_440, "--within-minutes must be a number from 1 to 1440. Try 30.");
        ExampleCommand command = new(
            "tune",
            "Tries settings of the warnings on history: trips caught, lead and false warnings of each, and which to choose.",
            "dancerwatch tune --config config/tea-hall.jsonc --input /var/lib/dancerwatch/recordings\ndancerwatch tune --config config/tea-hall.jsonc --input /var/lib/dancerwatch/recordings --machine tea-1 --try limit-approach.limitSeconds=4,8,16"
        );
        history.AddTo(command);
        command.Add(tries);
        command.Add(missed);
        command.Add(within);
        command.SetAction(
            async (parsed, cancellation) =>
            {
                if (history.Load(parsed) is not { } chosen)
                    return ExitCodes.Usage;
                InvocationConfiguration console = parsed.InvocationConfiguration;
                if (Candidate.All(parsed.GetValue(tries) ?? [], console.Error) is not { } candidates)
                    return ExitCodes.Usage;
                TuningRules rules = new()
                {
                    FalseWarningsPerMissedTrip = parsed.GetValue(missed),
                    HorizonSeconds = 60 * parsed.GetValue(within),
                };
                using Histories histories = history.Open(parsed, chosen.Settings, chosen.Machines);
                return await TuneAsync(chosen.Machines, candidates, rules, histories, console, cancellation);
            }
        );
        return command;
    }

    private static async Task<int> TuneAsync(
        IReadOnlyList<WatchedMachineSettings> machines,
        IReadOnlyList<Candidate> candidates,
        TuningRules rules,
        Histories histories,
        InvocationConfiguration console,
        CancellationToken cancellation
    )
    {
        Sweep sweep = new(machines, candidates, rules);
        Task sweeping = Task.Run(() => sweep.RunAsync(histories, cancellation), cancellation);
        await new ProgressReport(console.Error, TimeProvider.System).FollowAsync(
            sweeping,
            () => histories.Progress,
            () => histories.Rows
        );
        SweepTable.Write(console.Output, candidates, sweep.Scores(), sweep.UnderWay, rules);
        string[] findings = [.. histories.Findings];
        foreach (string finding in findings)
            await console.Output.WriteLineAsync($"  LOOK  {finding}");
        return findings.Length > 0 ? ExitCodes.Findings : ExitCodes.Ok;
    }
}
