namespace Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

/// <summary>Data types of the metrics we have, by their numbers in Sparkplug 3.0.0, section 6.4.16.</summary>
internal enum MetricType
{
    Int64 = 4,
    Double = 10,
    Boolean = 11,
    String = 12,

    /// <summary>ms since 1970-01-01 UTC.</summary>
    DateTime = 13,
}

/// <summary>What a metric is at a time, with its type also where it is null. Two of the same value are equal.</summary>
internal readonly record struct MetricValue
{
    public MetricType Type { get; private init; }
    public bool IsNull { get; private init; }

    /// <summary>Of an <see cref="MetricType.Int64"/>, a <see cref="MetricType.DateTime"/>, or (1 for true) a <see cref="MetricType.Boolean"/>.</summary>
    public long Whole { get; private init; }
    public double Number { get; private init; }
    public string? Text { get; private init; }

    public static MetricValue Null(MetricType type) => new() { Type = type, IsNull = true };

    public static MetricValue Of(long value, MetricType type = MetricType.Int64) =>
        new() { Type = type, Whole = value };

    public static MetricValue Of(double value) => new() { Type = MetricType.Double, Number = value };

    public static MetricValue Of(bool value) => new() { Type = MetricType.Boolean, Whole = value ? 1 : 0 };

    public static MetricValue Of(string? value) =>
        value is null ? Null(MetricType.String) : new() { Type = MetricType.String, Text = value };
}
