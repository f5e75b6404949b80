namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>Numbers that stand for names: a number of its own for each metric of the node and its devices, the same for as long as we run.</summary>
internal sealed class AliasBook
{
    private readonly Dictionary<(string Device, string Name), long> _aliases = [];

    /// <param name="device">Whose metric; empty for the node's.</param>
    public long Of(string device, string name)
    {
        if (!_aliases.TryGetValue((device, name), out long alias))
            _aliases.Add((device, name), alias = _aliases.Count);
        return alias;
    }
}
