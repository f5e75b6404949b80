using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EdgeAgent.Watching;

/// <summary>Where a machine stands. Events and topics are named after it.</summary>
public sealed record MachinePlace(string Site, string Area, string Line, string Machine)
{
    public static MachinePlace Of(AgentSettings settings, WatchedMachineSettings machine) =>
        new(settings.Site, settings.Area, machine.Line, machine.Name);

    /// <summary><c>/site/area/line/machine</c>: the CloudEvents source, and (without the first slash) the middle of every topic.</summary>
    public string Path { get; } = $"/{Site}/{Area}/{Line}/{Machine}";
}
