using System.CommandLine;
using System.Text;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Watching.Payloads;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch schema</c>: the JSON Schemas of what this very program reads and says.</summary>
internal static class SchemaCommand
{
    public static Command Create()
    {
        Option<string?> messages = new("--messages")
        {
            Description =
                "Writes the schemas of the MQTT messages instead, a file each, into this directory.",
            HelpName = "DIR",
        };
        ExampleCommand command = new(
            "schema",
            "Prints the JSON Schema of the configuration, for editors that complete and check while one types.",
            "dancerwatch schema > config/dancerwatch.schema.json\ndancerwatch schema --messages docs/schemas"
        )
        {
            messages,
        };
        command.SetAction(parsed =>
        {
            if (parsed.GetValue(messages) is { } directory)
                WriteMessages(directory);
            else
                Print(parsed.InvocationConfiguration.Output);
            return ExitCodes.Ok;
        });
        return command;
    }

    private static void Print(TextWriter output)
    {
        using MemoryStream schema = new();
        SettingsFile.WriteSchema(schema);
        output.Write(Encoding.UTF8.GetString(schema.ToArray()));
    }

    private static void WriteMessages(string directory)
    {
        Directory.CreateDirectory(directory);
        foreach (IMessageShape shape in MessageShapes.All)
        {
            using FileStream file = File.Create(Path.Combine(directory, $"{shape.Name}.json"));
            shape.WriteSchema(file);
        }
    }
}
