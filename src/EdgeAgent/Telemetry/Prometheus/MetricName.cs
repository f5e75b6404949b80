using OpenTelemetry.Metrics;

namespace Dancerwatch.EdgeAgent.Telemetry.Prometheus;

/// <summary>What an instrument is called there (OpenTelemetry specification 1.x, "Prometheus and OpenMetrics compatibility").</summary>
internal static class MetricName
{
    /// <summary>Dots become underscores, the unit in full is appended, and <c>_total</c> to what only counts up.</summary>
    public static string Of(Metric metric)
    {
        string name = metric.Name.Replace('.', '_');
        if (UnitOf(metric.Unit) is { } unit && !name.EndsWith($"_{unit}", StringComparison.Ordinal))
            name = $"{name}_{unit}";
        return metric.MetricType.IsSum() ? $"{name}_total" : name;
    }

    /// <summary>Prometheus knows base units by their names; what is counted, <c>{event}</c> say, is in the name already.</summary>
    private static string? UnitOf(string unit) =>
        unit switch
        {
            "s" => "seconds",
            "By" => "bytes",
            "" or ['{', ..] => null,
            _ => throw new ArgumentOutOfRangeException(
                nameof(unit),
                unit,
                "no unit of an instrument of ours"
            ),
        };
}
