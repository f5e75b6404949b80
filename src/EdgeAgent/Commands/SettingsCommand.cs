using System.CommandLine;
using System.Text;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch settings</c>: every number of every machine as it is in force, for whoever compares many.</summary>
internal static class SettingsCommand
{
    public static Command Create()
    {
        ConfigOption config = new();
        ExampleCommand command = new(
            "settings",
            "Prints every number that is in force for every machine, templates filled in and usual values named, one a line (JSON Lines).",
            "dancerwatch settings --config config/tea-works.jsonc > settings.jsonl"
        )
        {
            config,
        };
        command.SetAction(parsed =>
        {
            List<List<NotedNumber>> numbers = [];
            if (config.Load(parsed, path => SettingsFile.Load(path, numbers)) is not { } settings)
                return ExitCodes.Usage;
            for (int i = 0; i < settings.Machines.Count; i++)
                Print(settings, settings.Machines[i], numbers[i], parsed.InvocationConfiguration.Output);
            return ExitCodes.Ok;
        });
        return command;
    }

    private static void Print(
        AgentSettings settings,
        WatchedMachineSettings machine,
        List<NotedNumber> numbers,
        TextWriter output
    )
    {
        ControllerSettings controller = settings.Controllers.First(c => c.Name == machine.Controller);
        foreach (NotedNumber number in numbers.Prepend(new("pollMilliseconds", controller.PollMilliseconds)))
        {
            using MemoryStream line = new();
            using (Utf8JsonWriter writer = new(line))
            {
                writer.WriteStartObject();
                writer.WriteString("site", settings.Site);
                writer.WriteString("area", settings.Area);
                writer.WriteString("line", machine.Line);
                writer.WriteString("machine", machine.Name);
                writer.WriteString("setting", number.Key);
                writer.WriteNumber("value", number.Value);
                writer.WriteEndObject();
            }
            output.Write(Encoding.UTF8.GetString(line.GetBuffer(), 0, (int)line.Length));
            output.Write('\n');
        }
    }
}
