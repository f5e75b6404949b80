using OpenTelemetry.Metrics;

namespace Dancerwatch.EdgeAgent.Telemetry;

/// <summary>How many series the SDK makes room for.</summary>
internal static class FewSeries
{
    /// <summary>
    /// Of one instrument: 100 controllers with three outcomes of a poll. The SDK makes room for all at once, and by itself for
    /// 2,000; what goes beyond is counted together, marked <c>otel.metric.overflow</c>.
    /// </summary>
    private const int Most = 300;

    public static MeterProviderBuilder AddFewSeries(this MeterProviderBuilder meters) =>
        meters.AddView("*", new MetricStreamConfiguration { CardinalityLimit = Most });
}
