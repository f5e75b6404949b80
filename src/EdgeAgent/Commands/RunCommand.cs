using System.CommandLine;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.EdgeAgent.Hosting;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>dancerwatch run</c>: the daemon.</summary>
internal static class RunCommand
{
    public static Command Create()
    {
        ConfigOption config = new();
        RecordOption record = new();
        ExampleCommand command = new(
            "run",
            "Watches the machines of a configuration until stopped, reading only, and publishes events and states.",
            "dancerwatch run --config /etc/dancerwatch/dancerwatch.jsonc"
        )
        {
            config,
            record,
        };
        command.SetAction(
            async (parsed, cancellation) =>
            {
                if (config.Load(parsed) is not { } settings)
                    return ExitCodes.Usage;
                string path = parsed.GetRequiredValue(config);
                SettingsSource file = new(path, () => Load(path));
                await AgentHost.RunAsync(Kept(settings), file, parsed.GetValue(record), cancellation);
                return ExitCodes.Ok;
            }
        );
        return command;
    }

    private static SettingsResult Load(string path)
    {
        SettingsResult result = SettingsFile.Load(path);
        return result with { Settings = result.Settings is { } settings ? Kept(settings) : null };
    }

    private static AgentSettings Kept(AgentSettings settings) =>
        settings with
        {
            StateDirectory = settings.StateDirectory ?? OfService(),
        };

    /// <summary>The state directory that systemd made for the service (StateDirectory= in systemd.exec); null for none.</summary>
    private static string? OfService() =>
        Environment.GetEnvironmentVariable("STATE_DIRECTORY")?.Split(':')[0] is { Length: > 0 } first
            ? first
            : null;
}
