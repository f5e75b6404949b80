namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>
/// What the hosts know of the node, or of one device: all its metrics since its birth, each as it was told last. What has not
/// changed is not told again.
/// </summary>
/// <param name="device">Empty for the node.</param>
/// <param name="aliases">Null: metrics are called by their names.</param>
internal sealed class ToldMetrics(string device, AliasBook? aliases)
{
    private readonly Dictionary<string, MetricValue> _told = [];

    /// <summary>All there are, with names and types.</summary>
    public List<Metric> Birth(IEnumerable<NamedValue> all, long milliseconds)
    {
        _told.Clear();
        List<Metric> metrics = [];
        foreach ((string name, MetricValue value) in all)
        {
            _told[name] = value;
            metrics.Add(
                new Metric(value, milliseconds)
                {
                    Name = name,
                    Alias = AliasOf(name),
                    IsDeclared = true,
                }
            );
        }
        return metrics;
    }

    /// <summary>Those that are not as they were told.</summary>
    public List<Metric> Changes(IEnumerable<NamedValue> now, long milliseconds)
    {
        List<Metric> changes = [];
        foreach (NamedValue metric in now)
        {
            if (!_told.TryGetValue(metric.Name, out MetricValue told) || told == metric.Value)
                continue;
            _told[metric.Name] = metric.Value;
            changes.Add(Short(metric, milliseconds));
        }
        return changes;
    }

    /// <summary>All of these, changed or not: they belong together.</summary>
    public List<Metric> Whole(IEnumerable<NamedValue> now, long milliseconds)
    {
        List<Metric> metrics = [];
        foreach (NamedValue metric in now)
        {
            _told[metric.Name] = metric.Value;
            metrics.Add(Short(metric, milliseconds));
        }
        return metrics;
    }

    /// <summary>As they were then: what they are now has been told and stands.</summary>
    public List<Metric> Past(IEnumerable<NamedValue> then, long milliseconds) =>
        [
            .. then.Where(metric => _told.ContainsKey(metric.Name))
                .Select(metric => Short(metric, milliseconds) with { IsHistorical = true }),
        ];

    private Metric Short(NamedValue metric, long milliseconds) =>
        new(metric.Value, milliseconds)
        {
            Name = aliases is null ? metric.Name : null,
            Alias = AliasOf(metric.Name),
        };

    // The one metric that a host must know by its name before it has heard a birth.
    private long? AliasOf(string name) => name == EdgeNode.Rebirth ? null : aliases?.Of(device, name);
}
