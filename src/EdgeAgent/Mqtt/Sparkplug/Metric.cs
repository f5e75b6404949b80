namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>A metric by its name, and what it is.</summary>
/// <param name="Name">Folders joined by slashes, e.g. <c>margin/full_margin</c>.</param>
internal readonly record struct NamedValue(string Name, MetricValue Value);

/// <summary>A metric as it is sent.</summary>
/// <param name="Milliseconds">When the value was taken, ms since 1970-01-01 UTC.</param>
internal readonly record struct Metric(MetricValue Value, long Milliseconds)
{
    /// <summary>Null where the alias says it.</summary>
    public string? Name { get; init; }
    public long? Alias { get; init; }

    /// <summary>Whether the type is said, as in a birth.</summary>
    public bool IsDeclared { get; init; }

    /// <summary>Whether it is of the past, and must not take the place of the present value.</summary>
    public bool IsHistorical { get; init; }
}
