using System.Globalization;
using System.Text;
using OpenTelemetry;
using OpenTelemetry.Metrics;

namespace Dancerwatch.EdgeAgent.Telemetry.Prometheus;

/// <summary>
/// Metrics in the text format that Prometheus scrapes (version 0.0.4, prometheus.io/docs/instrumenting/exposition_formats).
/// Counters, gauges and histograms with fixed buckets: there are no others here.
/// </summary>
internal static class MetricText
{
    public const string ContentType = "text/plain; version=0.0.4; charset=utf-8";

    public static byte[] Of(in Batch<Metric> metrics)
    {
        StringBuilder text = new(capacity: 16_384);
        foreach (Metric metric in metrics)
            Write(text, metric);
        return Encoding.UTF8.GetBytes(text.ToString());
    }

    private static void Write(StringBuilder text, Metric metric)
    {
        string name = MetricName.Of(metric);
        string type =
            metric.MetricType.IsSum() ? "counter"
            : metric.MetricType.IsHistogram() ? "histogram"
            : "gauge";
        text.Append(CultureInfo.InvariantCulture, $"# HELP {name} {Escaped(metric.Description)}\n");
        text.Append(CultureInfo.InvariantCulture, $"# TYPE {name} {type}\n");
        foreach (ref readonly MetricPoint point in metric.GetMetricPoints())
        {
            string labels = Labels(point.Tags);
            if (type == "histogram")
                WriteHistogram(text, name, labels, point);
            else
                Line(text, name, labels, ValueOf(metric.MetricType, point));
        }
    }

    /// <summary>Buckets count all that is not above their bound, so that the last, without one, counts everything.</summary>
    private static void WriteHistogram(StringBuilder text, string name, string labels, in MetricPoint point)
    {
        long count = 0;
        foreach (HistogramBucket bucket in point.GetHistogramBuckets())
        {
            count += bucket.BucketCount;
            string bound = $"le=\"{Number(bucket.ExplicitBound)}\"";
            Line(text, $"{name}_bucket", labels.Length == 0 ? bound : $"{labels},{bound}", count);
        }
        Line(text, $"{name}_sum", labels, point.GetHistogramSum());
        Line(text, $"{name}_count", labels, point.GetHistogramCount());
    }

    private static double ValueOf(MetricType type, in MetricPoint point) =>
        type switch
        {
            MetricType.LongSum => point.GetSumLong(),
            MetricType.DoubleSum => point.GetSumDouble(),
            MetricType.LongGauge => point.GetGaugeLastValueLong(),
            MetricType.DoubleGauge => point.GetGaugeLastValueDouble(),
            _ => throw new ArgumentOutOfRangeException(
                nameof(type),
                type,
                "no kind of an instrument of ours"
            ),
        };

    private static void Line(StringBuilder text, string name, string labels, double value)
    {
        text.Append(name);
        if (labels.Length > 0)
            text.Append('{').Append(labels).Append('}');
        text.Append(' ').Append(Number(value)).Append('\n');
    }

    private static string Labels(ReadOnlyTagCollection tags)
    {
        StringBuilder labels = new();
        foreach ((string key, object? value) in tags)
        {
            labels.Append(labels.Length == 0 ? "" : ",").Append(key).Append("=\"");
            labels.Append(Escaped($"{value}").Replace("\"", "\\\"", StringComparison.Ordinal)).Append('"');
        }
        return labels.ToString();
    }

    private static string Escaped(string text) =>
        text.Replace("\\", "\\\\", StringComparison.Ordinal).Replace("\n", "\\n", StringComparison.Ordinal);

    private static string Number(double value) =>
        double.IsPositiveInfinity(value) ? "+Inf" : value.ToString(CultureInfo.InvariantCulture);
}
