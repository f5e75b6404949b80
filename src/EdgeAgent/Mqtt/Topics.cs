using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>The topics, all under <c>PREFIX/v1</c>. docs/topics.md tells what each carries.</summary>
internal sealed class Topics(string prefix)
{
    private readonly string _root = $"{prefix}/v1";

    /// <param name="source">The event's source: <c>/site/area/line/machine</c>, or a daemon's.</param>
    public string Event(string source) => $"{_root}{source}/event";

    public string State(MachinePlace place, string name) => $"{_root}{place.Path}/state/{name}";

    public string Status(MachinePlace place) => $"{_root}{place.Path}/status";

    /// <summary>
    /// The status of a daemon, with its last will. A connection has one will, however many machines it speaks for; so it
    /// has a place of its own, of the same depth as a machine's.
    /// </summary>
    public string AgentStatus(string site, string area, string clientId) =>
        $"{_root}{AgentSource(site, area, clientId)}/status";

    /// <summary>What a daemon speaks as of itself: the CloudEvents source, and the middle of its topics.</summary>
    public static string AgentSource(string site, string area, string clientId) =>
        $"/{site}/{area}/agents/{clientId}";

    /// <summary>Filter for the events of every machine.</summary>
    public string EveryEvent => $"{_root}/+/+/+/+/event";
}
