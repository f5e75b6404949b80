namespace Dancerwatch.EdgeAgent.Commands;

/// <summary>The program's commands, and what its exit codes mean.</summary>
public static class CommandLine
{
    public static int Run(string[] args) => args.Length;
}
