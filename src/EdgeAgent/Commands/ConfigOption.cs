using System.CommandLine;
using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EdgeAgent.Commands;

/// <summary><c>--config FILE</c>, the same for every command that needs a configuration.</summary>
internal sealed class ConfigOption : Option<string>
{
    public ConfigOption()
        : base("--config", "-c")
    {
        Description = "Configuration file (JSON with comments).";
        HelpName = "FILE";
        Required = true;
    }

    /// <summary>Loads the configuration; where it cannot be used, says all that is wrong with it on the error writer.</summary>
    /// <returns>Null where it cannot be used: answer <see cref="ExitCodes.Usage"/>.</returns>
    public AgentSettings? Load(ParseResult parsed) => Load(parsed, SettingsFile.Load);

    /// <inheritdoc cref="Load(ParseResult)"/>
    /// <param name="load">How the file is read.</param>
    public AgentSettings? Load(ParseResult parsed, Func<string, SettingsResult> load)
    {
        string path = parsed.GetRequiredValue(this);
        SettingsResult result = load(path);
        TextWriter error = parsed.InvocationConfiguration.Error;
        foreach (SettingError finding in result.Errors)
            error.WriteLine(finding.ToString(path));
        if (result.Errors.Count > 0)
            error.WriteLine($"{result.Errors.Count} to put right; nothing was started.");
        return result.Settings;
    }
}
