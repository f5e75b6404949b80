using System.CommandLine;
using System.CommandLine.Help;
using System.CommandLine.Invocation;
using System.CommandLine.Parsing;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary>
/// The program's commands. Each is one file with a static <c>Create</c> and stands in one line of <see cref="All"/>; it
/// writes to the <see cref="InvocationConfiguration"/>'s writers, ends when its token is cancelled (Ctrl-C, SIGTERM), and
/// returns one of <see cref="ExitCodes"/>.
/// </summary>
public static class CommandLine
{
    private static IEnumerable<Command> All() =>
        [
            DemoCommand.Create(),
            SimulateCommand.Create(),
            TagsCommand.Create(),
            CheckCommand.Create(),
            SurveyCommand.Create(),
            RunCommand.Create(),
            AliveCommand.Create(),
            TailCommand.Create(),
            ReplayCommand.Create(),
            TuneCommand.Create(),
            ReportCommand.Create(),
            SettingsCommand.Create(),
            SchemaCommand.Create(),
        ];

    /// <summary>Runs one command line and returns the exit code.</summary>
    /// <param name="output">Where results go; standard output where null.</param>
    /// <param name="error">Where complaints go; standard error where null.</param>
    public static Task<int> RunAsync(
        string[] args,
        TextWriter? output = null,
        TextWriter? error = null,
        CancellationToken cancellation = default
    ) =>
        RunAsync(
            Root(
                "dancerwatch",
                "Watches film-unwind dancers over EtherNet/IP, reading only, and warns over MQTT before a machine trips.",
                All()
            ),
            args,
            output,
            error,
            cancellation
        );

    /// <inheritdoc cref="RunAsync(string[], TextWriter, TextWriter, CancellationToken)"/>
    /// <param name="root">The program's commands, as <see cref="Root"/> makes them.</param>
    internal static async Task<int> RunAsync(
        Command root,
        string[] args,
        TextWriter? output = null,
        TextWriter? error = null,
        CancellationToken cancellation = default
    )
    {
        InvocationConfiguration configuration = new()
        {
            // Ours says what went wrong in a sentence instead of a stack trace.
            EnableDefaultExceptionHandler = false,
            // Time to say goodbye to a broker after Ctrl-C; then the process ends regardless.
            ProcessTerminationTimeout = TimeSpan.FromSeconds(10),
        };
        configuration.Output = output ?? configuration.Output;
        configuration.Error = error ?? configuration.Error;

        ParseResult parsed = root.Parse(args);
        if (parsed.Action is ParseErrorAction)
            return Refuse(parsed, configuration.Error);
        try
        {
            return await parsed.InvokeAsync(configuration, cancellation);
        }
        catch (OperationCanceledException)
        {
            return ExitCodes.Interrupted;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            await configuration.Error.WriteLineAsync(e.Message);
            return ExitCodes.File;
        }
#pragma warning disable CA1031 // The last line of defence: whatever it is, it is told, and has an exit code of its own.
        catch (Exception e)
#pragma warning restore CA1031
        {
            await configuration.Error.WriteLineAsync(
                $"This is a fault of the program, please report it:\n{e}"
            );
            return ExitCodes.Fault;
        }
    }

    private static int Refuse(ParseResult parsed, TextWriter error)
    {
        foreach (ParseError problem in parsed.Errors)
            error.WriteLine(problem.Message);
        Command command = parsed.CommandResult.Command;
        string typed = command.Name;
        for (
            Symbol? above = command.Parents.FirstOrDefault();
            above is not null;
            above = above.Parents.FirstOrDefault()
        )
            typed = $"{above.Name} {typed}";
        error.WriteLine($"Type '{typed} --help' for what there is.");
        return ExitCodes.Usage;
    }

    /// <summary>A program with its commands, a help with an example for each, and its version.</summary>
    internal static Command Root(string name, string description, IEnumerable<Command> commands)
    {
        HelpOption help = new();
        help.Action = new HelpWithExample((HelpAction)help.Action!);
        Command root = new(name, description) { help, new VersionOption() };
        foreach (Command command in commands)
            root.Add(command);
        return root;
    }
}
