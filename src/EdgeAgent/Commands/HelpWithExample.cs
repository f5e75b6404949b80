using System.CommandLine;
using System.CommandLine.Help;
using System.CommandLine.Invocation;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary>A command whose <c>--help</c> ends with an example that can be typed.</summary>
/// <param name="example">One or more lines, each a whole command line.</param>
internal sealed class ExampleCommand(string name, string description, string example)
    : Command(name, description)
{
    public string Example { get; } = example;
}

/// <summary>The usual help, then the command's example; the exit codes for the program as a whole.</summary>
internal sealed class HelpWithExample(HelpAction usual) : SynchronousCommandLineAction
{
    public override int Invoke(ParseResult parseResult)
    {
        int code = usual.Invoke(parseResult);
        TextWriter output = parseResult.InvocationConfiguration.Output;
        if (parseResult.CommandResult.Command is ExampleCommand command)
        {
            output.WriteLine("Example:");
            foreach (string line in command.Example.Split('\n'))
                output.WriteLine($"  {line.TrimEnd()}");
        }
        else
        {
            output.WriteLine(ExitCodes.Help);
        }
        return code;
    }
}
