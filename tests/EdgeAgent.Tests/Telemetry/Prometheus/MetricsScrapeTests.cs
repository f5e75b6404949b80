using System.Diagnostics.Metrics;
using System.Text;
using Dancerwatch.EdgeAgent.Telemetry.Prometheus;

namespace Dancerwatch.EdgeAgent.Tests.Telemetry.Prometheus;

/// <summary>The text format by its description (prometheus.io/docs/instrumenting/exposition_formats, version 0.0.4).</summary>
public sealed class MetricsScrapeTests : IDisposable
{
    private readonly Meter _meter = new($"meter-{Guid.NewGuid()}");
    private readonly MetricsScrape _scrape;

    public MetricsScrapeTests() => _scrape = new MetricsScrape(_meter.Name);

    [Fact]
    public void A_counter_ends_in_total_and_tells_each_set_of_labels()
    {
        Counter<long> polls = _meter.CreateCounter<long>("edgeagent.polls", "{poll}", "Polls.");
        polls.Add(3, new KeyValuePair<string, object?>("controller", "tea"), new("outcome", "failed"));
        polls.Add(0, new KeyValuePair<string, object?>("controller", "tea"), new("outcome", "partial"));

        AssertText(
            """
            # HELP edgeagent_polls_total Polls.
            # TYPE edgeagent_polls_total counter
            edgeagent_polls_total{controller="tea",outcome="failed"} 3
            edgeagent_polls_total{controller="tea",outcome="partial"} 0

            """
        );
    }

    [Fact]
    public void Units_are_told_in_full_at_the_names_end()
    {
        _meter.CreateObservableGauge("edgeagent.outbox.size", () => 4_096L, "By", "Space.");
        _meter.CreateObservableCounter("edgeagent.snapshots.written", () => 7L, "By", "Bytes.");

        AssertText(
            """
            # HELP edgeagent_outbox_size_bytes Space.
            # TYPE edgeagent_outbox_size_bytes gauge
            edgeagent_outbox_size_bytes 4096
            # HELP edgeagent_snapshots_written_bytes_total Bytes.
            # TYPE edgeagent_snapshots_written_bytes_total counter
            edgeagent_snapshots_written_bytes_total 7

            """
        );
    }

    [Fact]
    public void Buckets_of_a_histogram_count_all_that_is_not_above_them()
    {
        Histogram<double> duration = _meter.CreateHistogram(
            "edgeagent.poll.duration",
            "s",
            "Time.",
            tags: null,
            new InstrumentAdvice<double> { HistogramBucketBoundaries = [0.001, 0.02] }
        );
        foreach (double seconds in (double[])[0.0005, 0.001, 0.0105, 3])
            duration.Record(seconds, new KeyValuePair<string, object?>("controller", "tea"));

        AssertText(
            """
            # HELP edgeagent_poll_duration_seconds Time.
            # TYPE edgeagent_poll_duration_seconds histogram
            edgeagent_poll_duration_seconds_bucket{controller="tea",le="0.001"} 2
            edgeagent_poll_duration_seconds_bucket{controller="tea",le="0.02"} 3
            edgeagent_poll_duration_seconds_bucket{controller="tea",le="+Inf"} 4
            edgeagent_poll_duration_seconds_sum{controller="tea"} 3.012
            edgeagent_poll_duration_seconds_count{controller="tea"} 4

            """
        );
    }

    [Fact]
    public void Quotes_and_line_ends_in_a_label_do_not_break_the_line()
    {
        _meter
            .CreateCounter<long>("edgeagent.reads", "{read}", "A\\B\nC")
            .Add(1, new KeyValuePair<string, object?>("controller", "a\"b\\c\nd"));

        AssertText(
            """
            # HELP edgeagent_reads_total A\\B\nC
            # TYPE edgeagent_reads_total counter
            edgeagent_reads_total{controller="a\"b\\c\nd"} 1

            """
        );
    }

    [Fact]
    public void A_second_look_counts_on()
    {
        Counter<long> reads = _meter.CreateCounter<long>("edgeagent.reads", "{read}", "Reads.");
        reads.Add(2);
        Assert.EndsWith("edgeagent_reads_total 2\n", Text(), StringComparison.Ordinal);
        Assert.EndsWith("edgeagent_reads_total 2\n", Text(), StringComparison.Ordinal);

        reads.Add(1);

        Assert.EndsWith("edgeagent_reads_total 3\n", Text(), StringComparison.Ordinal);
    }

    public void Dispose()
    {
        _scrape.Dispose();
        _meter.Dispose();
    }

    private void AssertText(string expected) => Assert.Equal(expected, Text());

    private string Text() => Encoding.UTF8.GetString(_scrape.Text());
}
