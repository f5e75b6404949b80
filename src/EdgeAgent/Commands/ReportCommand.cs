using System.CommandLine;
using System.Text;
using Dancerwatch.EdgeAgent.Commands.Reporting;
using Dancerwatch.EdgeAgent.Reports;
using Dancerwatch.EdgeAgent.Reports.Html;
using Dancerwatch.EdgeAgent.Survey;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch report</c>: a machine over a period, as a page to hand over and as JSON.</summary>
internal static class ReportCommand
{
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
                string path = parsed.GetRequiredValue(input);
                ReportRun run = new(settings, chosen, path, error);
                if (asked.Roll is { } roll)
                {
                    if (await run.FindRollAsync(roll, asked.Period, cancellation) is not { } found)
                        return ExitCodes.Usage;
                    asked = asked with { Period = found };
                }
                MachineReport? report = await run.CollectAsync(asked, cancellation);
                if (report is null)
                {
                    await error.WriteLineAsync(
                        $"There is no reading of {name} in {asked.Words}: nothing was written. Name another --from and --to, or look at what {path} holds."
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

    private static void Write(string? path, Func<string> text)
    {
        if (path is not null)
            RecordFile.Replace(path, stream => stream.Write(Encoding.UTF8.GetBytes(text())));
    }

    private static void Say(TextWriter output, MachineReport report)
    {
        ReportWords words = new(report);
        output.WriteLine(
            $"{report.Machine}, {words.Period} ({report.TimeZone}): {Durations.InWords(3600 * report.Hours.Running)} of running, {ReportWords.Counted(report.Trips.Count, "trip")}, {ReportWords.Counted(report.Warnings.Count, "warning")}, {ReportWords.Counted(report.Stops.Count, "stop")}"
        );
        if (report.Change is { } change)
            output.WriteLine($"  {change.Verdict}");
        foreach (string line in report.LeftOut)
            output.WriteLine($"  LOOK  {line}");
    }
}
