using System.CommandLine;
using System.Text;
using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch schema</c>: the JSON Schema of the configuration this very program reads.</summary>
internal static class SchemaCommand
{
    public static Command Create()
    {
        ExampleCommand command = new(
            "schema",
            "Prints the JSON Schema of the configuration, for editors that complete and check while one types.",
            "dancerwatch schema > config/dancerwatch.schema.json"
        );
        command.SetAction(parsed =>
        {
            using MemoryStream schema = new();
            SettingsFile.WriteSchema(schema);
            parsed.InvocationConfiguration.Output.Write(Encoding.UTF8.GetString(schema.ToArray()));
            return ExitCodes.Ok;
        });
        return command;
    }
}
