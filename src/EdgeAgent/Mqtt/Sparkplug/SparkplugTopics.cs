namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>The topics of an edge node, <c>spBv1.0/group/TYPE/node[/device]</c> (Sparkplug 3.0.0, section 4.1).</summary>
internal sealed class SparkplugTopics(string group, string node)
{
    private const string Namespace = "spBv1.0";

    public string NodeBirth { get; } = $"{Namespace}/{group}/NBIRTH/{node}";
    public string NodeData { get; } = $"{Namespace}/{group}/NDATA/{node}";
    public string NodeDeath { get; } = $"{Namespace}/{group}/NDEATH/{node}";
    public string NodeCommand { get; } = $"{Namespace}/{group}/NCMD/{node}";

    public string DeviceBirth(string device) => $"{Namespace}/{group}/DBIRTH/{node}/{device}";

    public string DeviceData(string device) => $"{Namespace}/{group}/DDATA/{node}/{device}";

    public string DeviceDeath(string device) => $"{Namespace}/{group}/DDEATH/{node}/{device}";

    /// <summary>Where a host application says whether it is online.</summary>
    public static string HostState(string host) => $"{Namespace}/STATE/{host}";
}
