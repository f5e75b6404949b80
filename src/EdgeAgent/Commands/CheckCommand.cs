using System.CommandLine;
using Dancerwatch.EdgeAgent.Commands.Checks;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Controllers;
using Microsoft.Extensions.Logging.Abstractions;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch check</c>: the configuration, then a short live look at every tag, before anybody relies on it.</summary>
internal static class CheckCommand
{
    public static Command Create()
    {
        ConfigOption config = new();
        Option<bool> offline = new("--offline") { Description = "Check the file only; read no controller." };
        Option<double> seconds = new("--seconds")
        {
            Description = "How long each controller is read for, s.",
            DefaultValueFactory = _ => 2,
        };
        seconds.MustBe(0, 600, "--seconds must be a number from 0 to 600. Try 2.");
        ExampleCommand command = new(
            "check",
            "Checks a configuration, then reads every tag of it for a moment and says what looks wrong. Reads only.",
            "dancerwatch check --config config/tea-hall.jsonc"
        )
        {
            config,
            offline,
            seconds,
        };
        command.SetAction(
            async (parsed, cancellation) =>
            {
                if (config.Load(parsed) is not { } settings)
                    return ExitCodes.Usage;
                TextWriter output = parsed.InvocationConfiguration.Output;
                if (!parsed.GetValue(offline))
                    return await RunAsync(
                        settings,
                        TimeSpan.FromSeconds(parsed.GetValue(seconds)),
                        output,
                        cancellation
                    );
                await output.WriteLineAsync(
                    $"The configuration can be used (controllers: {settings.Controllers.Count}, machines: {settings.Machines.Count}). No controller was read."
                );
                return ExitCodes.Ok;
            }
        );
        return command;
    }

    private static async Task<int> RunAsync(
        AgentSettings settings,
        TimeSpan duration,
        TextWriter output,
        CancellationToken cancellation
    )
    {
        MonotonicClock clock = new(TimeProvider.System);
        // Side by side: a controller that does not answer must not hold the others up.
        Task<ControllerCheck>[] checks =
        [
            .. settings.Controllers.Select(controller =>
                CheckAsync(controller, MachinesOf(settings, controller), clock, duration, cancellation)
            ),
        ];
        int findings = 0;
        bool unreachable = false;
        for (int i = 0; i < checks.Length; i++)
        {
            ControllerCheck check = await checks[i];
            findings += CheckReport.Write(output, settings.Controllers[i], check);
            unreachable |= check.Reads == 0;
        }
        await output.WriteLineAsync(findings == 0 ? "Nothing looks wrong." : $"{findings} to look at.");
        return unreachable ? ExitCodes.Unreachable
            : findings > 0 ? ExitCodes.Findings
            : ExitCodes.Ok;
    }

    private static async Task<ControllerCheck> CheckAsync(
        ControllerSettings controller,
        IReadOnlyList<WatchedMachineSettings> machines,
        MonotonicClock clock,
        TimeSpan duration,
        CancellationToken cancellation
    )
    {
        await using ITagReader reader = TagReaders.Create(
            controller,
            ReadingSource.TagsOf(machines),
            clock,
            NullLoggerFactory.Instance
        );
        return await new LiveCheck(controller, machines, reader, clock).RunAsync(duration, cancellation);
    }

    private static List<WatchedMachineSettings> MachinesOf(
        AgentSettings settings,
        ControllerSettings controller
    ) => [.. settings.Machines.Where(machine => machine.Controller == controller.Name)];
}
