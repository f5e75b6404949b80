using Dancerwatch.EdgeAgent.Commands;

namespace Dancerwatch.Fleet.Commands;

/// <summary>The fleet host's commands; exit codes are the daemon's.</summary>
public static class FleetCommandLine
{
    /// <summary>Runs one command line and returns the exit code.</summary>
    /// <param name="output">Where results go; standard output where null.</param>
    /// <param name="error">Where complaints go; standard error where null.</param>
    public static Task<int> RunAsync(
        string[] args,
        TextWriter? output = null,
        TextWriter? error = null,
        CancellationToken cancellation = default
    ) =>
        CommandLine.RunAsync(
            CommandLine.Root(
                "dancerwatch-fleet",
                "Shares the machines of many controllers among several hosts: the same watching, topics and events as dancerwatch.",
                [RunCommand.Create(), SchemaCommand.Create(), SimulateCommand.Create()]
            ),
            args,
            output,
            error,
            cancellation
        );
}
