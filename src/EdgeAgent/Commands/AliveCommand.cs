using System.CommandLine;
using Dancerwatch.EdgeAgent.Hosting.Service;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch alive</c>: the health check of a container.</summary>
internal static class AliveCommand
{
    /// <summary>As long as systemd waits for a sign (WatchdogSec in systemd/dancerwatch.service).</summary>
    private static readonly TimeSpan s_longest = TimeSpan.FromSeconds(30);

    public static Command Create()
    {
        ExampleCommand command = new(
            "alive",
            "Says whether a run with the same RUNTIME_DIRECTORY is alive: whether every poll loop came round in the last 30 s.",
            "RUNTIME_DIRECTORY=/run/dancerwatch dancerwatch alive"
        );
        command.SetAction(parsed =>
        {
            InvocationConfiguration console = parsed.InvocationConfiguration;
            if (AliveFile.FromEnvironment(TimeProvider.System) is not { } file)
            {
                console.Error.WriteLine(
                    "RUNTIME_DIRECTORY names no directory: set it to the same one for run and for alive."
                );
                return ExitCodes.Usage;
            }
            TimeSpan? age = file.Age();
            bool isAlive = age <= s_longest;
            console.Output.WriteLine(
                age is { } known ? $"Last sign of life {known.TotalSeconds:F1} s ago." : "No sign of life."
            );
            return isAlive ? ExitCodes.Ok : ExitCodes.Findings;
        });
        return command;
    }
}
