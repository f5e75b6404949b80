using System.CommandLine;
using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EdgeAgent.Commands.Replays;

/// <summary>Which history of which machines: the same for every command that looks at the past.</summary>
internal sealed class HistoryOptions
{
    private readonly ConfigOption _config = new();
    private readonly PeriodOptions _period = new();
    private readonly Option<string> _input = new("--input")
    {
        Description =
            "Directory of recordings, or a trace (CSV): a header, time_s or time, columns as configured; what 'run --record' writes.",
        HelpName = "PATH",
        Required = true,
    };
    private readonly Option<string> _machine = new("--machine")
    {
        Description = "This machine only; needed where a trace does not say which machine it is of.",
        HelpName = "NAME",
    };

    public void AddTo(Command command)
    {
        command.Add(_config);
        command.Add(_input);
        command.Add(_machine);
        command.Add(_period.From);
        command.Add(_period.To);
    }

    /// <summary>The configuration and the machines of it that are meant; what is wrong with them is said on the error writer.</summary>
    /// <returns>Null where something is wrong: answer <see cref="ExitCodes.Usage"/>.</returns>
    public (AgentSettings Settings, IReadOnlyList<WatchedMachineSettings> Machines)? Load(ParseResult parsed)
    {
        if (_config.Load(parsed) is not { } settings)
            return null;
        if (parsed.GetValue(_machine) is not { } name)
            return (settings, settings.Machines);
        List<WatchedMachineSettings> chosen = [.. settings.Machines.Where(machine => machine.Name == name)];
        if (chosen.Count > 0)
            return (settings, chosen);
        parsed.InvocationConfiguration.Error.WriteLine(
            $"--machine is \"{name}\". Allowed: {string.Join(", ", settings.Machines.Select(machine => machine.Name))}."
        );
        return null;
    }

    /// <exception cref="IOException">The history cannot be read.</exception>
    public Histories Open(
        ParseResult parsed,
        AgentSettings settings,
        IReadOnlyList<WatchedMachineSettings> machines
    ) => new(parsed.GetRequiredValue(_input), machines, settings.Machines, _period.Of(parsed));
}
