using System.CommandLine;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Survey;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Survey.Steps;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EdgeAgent.Commands.Surveys;

/// <summary><c>dancerwatch survey take</c>: guides a person through a survey at a terminal, or goes on with one that was left.</summary>
internal static class TakeCommand
{
    public static Command Create()
    {
        ConfigOption config = new();
        Option<string> machine = new("--machine")
        {
            Description = "Which machine.",
            HelpName = "NAME",
            Required = true,
        };
        Option<string> record = new("--record")
        {
            Description = "File the record is kept in (JSON); one that is unfinished is gone on with.",
            HelpName = "RECORD.json",
            Required = true,
        };
        Option<string> sheet = new("--sheet")
        {
            Description = "File for the sheet, written at the end (HTML, one A4 page).",
            HelpName = "SHEET.html",
        };
        Option<string> kind = new("--as")
        {
            Description = "As found, before any work, or as left, after it.",
            DefaultValueFactory = _ => "found",
        };
        kind.AcceptOnlyFromAmong("found", "left");
        Option<string> brake = new("--brake")
        {
            Description =
                "What works the spindle brake: spring (linked to the dancer) or air. Left out: air where brakePressure is configured, else spring.",
        };
        brake.AcceptOnlyFromAmong("spring", "air");
        Option<string> by = new("--by")
        {
            Description = "Who does it; stands in the record and on the sheet.",
            DefaultValueFactory = _ => "",
        };
        ExampleCommand command = new(
            "take",
            "Guides a person, step by step, through the set-up survey of one machine: the dancer held at its ends, through its travel, running, stopping. Leave and come back at any time.",
            "dancerwatch survey take --config hall.jsonc --machine tea-1 --record tea-1-found.json --sheet tea-1-found.html"
        )
        {
            config,
            machine,
            record,
            sheet,
            kind,
            brake,
            by,
        };
        command.SetAction(
            async (parsed, cancellation) =>
            {
                if (config.Load(parsed) is not { } settings)
                    return ExitCodes.Usage;
                TextWriter error = parsed.InvocationConfiguration.Error;
                string name = parsed.GetRequiredValue(machine);
                WatchedMachineSettings? chosen = settings.Machines.FirstOrDefault(one => one.Name == name);
                if (chosen is null)
                {
                    await error.WriteLineAsync(
                        $"--machine is \"{name}\". Allowed: {string.Join(", ", settings.Machines.Select(one => one.Name))}."
                    );
                    return ExitCodes.Usage;
                }
                SurveyOrder order = new(
                    settings.Site,
                    settings.Area,
                    chosen,
                    parsed.GetValue(kind) == "left" ? SurveyKind.AsLeft : SurveyKind.AsFound,
                    parsed.GetValue(by)!,
                    BrakeOf(parsed.GetValue(brake), chosen)
                );
                ControllerSettings controller = settings.Controllers.First(one =>
                    one.Name == chosen.Controller
                );
                SurveySession session = new(
                    order,
                    controller,
                    parsed.GetRequiredValue(record),
                    parsed.GetValue(sheet),
                    parsed.InvocationConfiguration.Output,
                    error
                );
                return await session.RunAsync(cancellation);
            }
        );
        return command;
    }

    private static BrakeKind BrakeOf(string? said, WatchedMachineSettings machine) =>
        said switch
        {
            "air" => BrakeKind.Air,
            "spring" => BrakeKind.SpringLinked,
            _ => machine.Signals.Any(source => source.Signal == Signal.BrakePressure)
                ? BrakeKind.Air
                : BrakeKind.SpringLinked,
        };

    /// <summary>One sitting at the terminal.</summary>
    private sealed class SurveySession(
        SurveyOrder order,
        ControllerSettings controller,
        string recordPath,
        string? sheetPath,
        TextWriter output,
        TextWriter error
    )
    {
        public async Task<int> RunAsync(CancellationToken cancellation)
        {
            SurveyRecord? begun;
            try
            {
                begun = File.Exists(recordPath) ? RecordFile.Load(recordPath) : null;
            }
            catch (FormatException e)
            {
                await error.WriteLineAsync(e.Message);
                return ExitCodes.File;
            }
            MonotonicClock clock = new(TimeProvider.System);
            await using LiveReadings readings = new(
                order.Machine,
                TagReaders.Create(
                    controller,
                    ReadingSource.TagsOf([order.Machine]),
                    clock,
                    NullLoggerFactory.Instance
                ),
                controller.PollMilliseconds,
                clock
            );
            SurveyRecord seen;
            try
            {
                seen = await SurveyBeginning.LookAsync(readings, order, clock.Time, cancellation);
            }
            catch (DeadTagException e)
            {
                await error.WriteLineAsync($"{e.Message} Nothing was begun.");
                return ExitCodes.Unreachable;
            }
            if (begun is not null && Refusal(begun, seen) is { } refusal)
            {
                await error.WriteLineAsync(
                    $"{refusal} {recordPath} was not touched; name another file with --record."
                );
                return ExitCodes.Usage;
            }
            TerminalPerson person = new(Console.In, output, showsProgress: !Console.IsOutputRedirected);
            SurveyGuide guide = new(
                begun ?? seen,
                readings,
                person,
                clock.Time,
                record => RecordFile.Save(recordPath, record)
            );
            return await guide.RunAsync(cancellation) ? Finish(guide.Record) : ExitCodes.Interrupted;
        }

        private int Finish(SurveyRecord record)
        {
            output.WriteLine();
            SurveySummary.Write(output, record);
            output.WriteLine($"The record is {recordPath}.");
            if (sheetPath is not null)
            {
                SheetCommand.Write(sheetPath, record);
                output.WriteLine($"The sheet is {sheetPath}: print it on A4, or open it in a browser.");
            }
            return record.Findings.Count > 0 ? ExitCodes.Findings : ExitCodes.Ok;
        }

        private static string? Refusal(SurveyRecord begun, SurveyRecord seen) =>
            begun.Machine != seen.Machine ? $"This is a record of {begun.Machine}, not of {seen.Machine}."
            : begun.Finished is not null ? "This survey is finished."
            : RecordFile.TextOf(begun.Known) != RecordFile.TextOf(seen.Known)
                ? "Set points, target or configuration are others than when this survey was begun, so its two halves would not fit."
            : null;
    }
}
