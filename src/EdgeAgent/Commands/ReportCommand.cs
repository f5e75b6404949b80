using System.CommandLine;
using System.Text;
using Dancerwatch.EdgeAgent.Commands.Replays;
using Dancerwatch.EdgeAgent.Commands.Reporting;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers.Recorded;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.EdgeAgent.Reports;
using Dancerwatch.EdgeAgent.Reports.Html;
using Dancerwatch.EdgeAgent.Survey;
using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch report</c>: a machine over a period, as a page to hand over and as JSON.</summary>
internal static class ReportCommand
{
    /// <summary>So long before the period readings are looked at already: windows are full when it begins.</summary>
    private static readonly TimeSpan s_warmUp = TimeSpan.FromMinutes(20);

    public static Command Create()
    {
        ConfigOption config = new();
        Option<string> input = new("--input")
        {
            Description = "Directory of recordings, or a trace (CSV).",
            HelpName = "PATH",
            Required = true,
        };
        Option<string> machine = new("--machine")
        {
            Description = "The machine.",
            HelpName = "NAME",
            Required = true,
        };
        ReportPeriodOptions period = new();
        Option<string?> html = new("--html")
        {
            Description = "File the page goes to (HTML, nothing loaded from anywhere); overwritten.",
            HelpName = "OUT.html",
        };
        Option<string?> json = new("--json")
        {
            Description = "File the same goes to as JSON; overwritten.",
            HelpName = "OUT.json",
        };
        ExampleCommand command = new(
            "report",
            "Says how a machine did over a period: margins, movement, warnings, trips, stops and causes; and what a change made better.",
            "dancerwatch report --config config/tea-hall.jsonc --input /var/lib/dancerwatch/recordings --machine tea-1 --day 2026-11-25 --html tea-1.html\ndancerwatch report --config config/tea-hall.jsonc --input /var/lib/dancerwatch/recordings --machine tea-1 --shift 2026-11-25T06:00 --time-zone Europe/London --json tea-1.json\ndancerwatch report --config config/tea-hall.jsonc --input /var/lib/dancerwatch/recordings --machine tea-1 --from 2026-11-18 --change 2026-11-22T14:00 --html tea-1.html"
        )
        {
            config,
            input,
            machine,
            html,
            json,
        };
        period.AddTo(command);
        command.Validators.Add(result =>
        {
            if (result.GetValue(html) is null && result.GetValue(json) is null)
                result.AddError("Name --html, --json or both: where does the report go?");
        });
        command.SetAction(
            async (parsed, cancellation) =>
            {
                TextWriter error = parsed.InvocationConfiguration.Error;
                if (config.Load(parsed) is not { } settings)
                    return ExitCodes.Usage;
                string name = parsed.GetRequiredValue(machine);
                if (settings.Machines.FirstOrDefault(one => one.Name == name) is not { } chosen)
                {
                    await error.WriteLineAsync(
                        $"--machine is \"{name}\". Allowed: {string.Join(", ", settings.Machines.Select(one => one.Name))}."
                    );
                    return ExitCodes.Usage;
                }
                if (period.Of(parsed, error) is not { } asked)
                    return ExitCodes.Usage;
                Request request = new(settings, chosen, parsed.GetRequiredValue(input), asked);
                MachineReport? report = await CollectAsync(request, error, cancellation);
                if (report is null)
                {
                    await error.WriteLineAsync(
                        $"There is no reading of {name} in {asked.Words}: nothing was written. Name another --from and --to, or look at what {request.Input} holds."
                    );
                    return ExitCodes.Usage;
                }
                Write(parsed.GetValue(html), () => ReportHtml.Of(report));
                Write(parsed.GetValue(json), () => ReportJson.Of(report));
                Say(parsed.InvocationConfiguration.Output, report);
                return report.LeftOut.Count > 0 ? ExitCodes.Findings : ExitCodes.Ok;
            }
        );
        return command;
    }

    private static async Task<MachineReport?> CollectAsync(
        Request request,
        TextWriter error,
        CancellationToken cancellation
    )
    {
        (AgentSettings settings, WatchedMachineSettings machine, string input, ReportPeriod asked) = request;
        DateTimeOffset from = asked.Period.From;
        if (asked.Roll is { } roll)
        {
            using Histories whole = Open(request, asked.Period);
            RollFinder finder = new(machine.Machine);
            await FollowAsync(
                whole,
                (history, row) => finder.Take(row.Reading, history.ToWallClock),
                error,
                cancellation
            );
            if (finder.Of(roll) is not { } found)
            {
                await error.WriteLineAsync(
                    $"--roll is {roll}, and {input} holds {finder.Count} rolls of {machine.Name}. Allowed: 1 (the latest) to {finder.Count}."
                );
                return null;
            }
            asked = asked with { Period = found };
            from = found.From;
        }
        Period wide = asked.Period with
        {
            From = from - DateTimeOffset.MinValue > s_warmUp ? from - s_warmUp : from,
        };
        using Histories histories = Open(request, wide);
        ReportCollector? collector = null;
        await FollowAsync(
            histories,
            (history, row) =>
            {
                collector ??= new ReportCollector(
                    MachinePlace.Of(settings, machine),
                    machine.Machine,
                    history.ToWallClock,
                    from,
                    asked.Change
                );
                collector.Take(row.Reading);
            },
            error,
            cancellation
        );
        return collector?.Finish(asked.Words, asked.Zone, [.. histories.Findings]);
    }

    private static Histories Open(Request request, Period period) =>
        new(request.Input, [request.Machine], request.Settings.Machines, period);

    private static Task FollowAsync(
        Histories histories,
        Action<IHistory, TraceRow> take,
        TextWriter error,
        CancellationToken cancellation
    )
    {
        Task reading = Task.Run(
            () =>
                histories.ForEachAsync(
                    (history, _) =>
                    {
                        while (history.TryRead(out TraceRow row))
                        {
                            cancellation.ThrowIfCancellationRequested();
                            take(history, row);
                        }
                    },
                    cancellation
                ),
            cancellation
        );
        return new ProgressReport(error, TimeProvider.System).FollowAsync(
            reading,
            () => histories.Progress,
            () => histories.Rows
        );
    }

    private static void Write(string? path, Func<string> text)
    {
        if (path is not null)
            RecordFile.Replace(path, stream => stream.Write(Encoding.UTF8.GetBytes(text())));
    }

    private static void Say(TextWriter output, MachineReport report)
    {
        ReportWords words = new(report);
        output.WriteLine(
            $"{report.Machine}, {words.Period} ({report.TimeZone}): {Tag.Number(report.Hours.Running, "F1")} h of running, {report.Trips.Count} trips, {report.Warnings.Count} warnings, {report.Stops.Count} stops"
        );
        if (report.Change is { } change)
            output.WriteLine($"  {change.Verdict}");
        foreach (string line in report.LeftOut)
            output.WriteLine($"  LOOK  {line}");
    }

    private sealed record Request(
        AgentSettings Settings,
        WatchedMachineSettings Machine,
        string Input,
        ReportPeriod Asked
    );
}
