using System.CommandLine;
using Dancerwatch.EdgeAgent.Commands.Tags;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Dancerwatch.EdgeAgent.Controllers.EtherNetIp.Browsing;
using Dancerwatch.EdgeAgent.Discovery;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch tags</c>: what a controller has, which tag is which signal, and a first configuration of it.</summary>
internal static class TagsCommand
{
    public static Command Create()
    {
        TagsOptions options = new();
        ExampleCommand command = new(
            "tags",
            "Lists a controller's tags, watches them for a moment, proposes which is which signal and why, and writes a first configuration of it. Reads only.",
            """
            dancerwatch tags --host 192.0.2.10 --list
            dancerwatch tags --host 192.0.2.10 --output hall.jsonc
            """
        );
        foreach (Option option in options.All)
            command.Add(option);
        command.SetAction((parsed, cancellation) => RunAsync(options, parsed, cancellation));
        return command;
    }

    private static async Task<int> RunAsync(
        TagsOptions options,
        ParseResult parsed,
        CancellationToken cancellation
    )
    {
        InvocationConfiguration io = parsed.InvocationConfiguration;
        string? file = parsed.GetValue(options.Output);
        if (file is not null && File.Exists(file) && !parsed.GetValue(options.Replace))
        {
            await io.Error.WriteLineAsync(
                $"{file} is there already, and nothing was done. Name another file, or add --replace."
            );
            return ExitCodes.File;
        }
        ControllerSettings controller = options.Controller(parsed);
        MonotonicClock clock = new(TimeProvider.System);
        BrowsedController found;
        try
        {
            found = await TagBrowser.BrowseAsync(controller, clock.Time, cancellation);
        }
        catch (LinkException failure)
        {
            await io.Error.WriteLineAsync(
                $"controller at {controller.Host}:{controller.Port} {failure.Message}."
            );
            return ExitCodes.Unreachable;
        }
        if (parsed.GetValue(options.List))
        {
            TagsReport.WriteList(io.Output, found);
            return ExitCodes.Ok;
        }
        ControllerProposal proposal = await ProposeAsync(
            found,
            controller,
            TimeSpan.FromSeconds(parsed.GetValue(options.Seconds)),
            clock,
            io.Error,
            cancellation
        );
        FirstConfiguration first = FirstConfiguration.Of(proposal, controller, options.Place(parsed));
        int findings = TagsReport.Write(io.Output, found, proposal, first);
        if (file is not null)
        {
            await File.WriteAllTextAsync(file, first.Text, cancellation);
            await io.Output.WriteLineAsync(
                first.Watched.Count == 0
                    ? $"{file} is written, but watches no machine yet: put in what is missing."
                    : $"{file} is written. Next: dancerwatch check --config {file}"
            );
        }
        return findings > 0 ? ExitCodes.Findings : ExitCodes.Ok;
    }

    private static async Task<ControllerProposal> ProposeAsync(
        BrowsedController found,
        ControllerSettings controller,
        TimeSpan duration,
        MonotonicClock clock,
        TextWriter error,
        CancellationToken cancellation
    )
    {
        List<Candidate> candidates = Candidates.Of(found.Tags);
        if (candidates.Count == 0)
            return new ControllerProposal([], ["No tag is named as a signal of an unwind would be."]);
        MachineGroups groups = new(candidates);
        LiveValues live = await LiveValues.ReadAsync(
            controller,
            [
                .. groups
                    .Machines.SelectMany(machine => machine.Candidates)
                    .Select(candidate => candidate.Tag)
                    .Distinct(),
            ],
            duration,
            clock,
            error.WriteLine,
            cancellation
        );
        return new Proposer(live).Propose(groups);
    }
}
