using OpenTelemetry;
using OpenTelemetry.Metrics;

namespace Dancerwatch.EdgeAgent.Telemetry.Prometheus;

/// <summary>All meters as of now, for whoever scrapes them. Collects from the moment it is made; thread-safe.</summary>
internal sealed class MetricsScrape : IDisposable
{
    private readonly Lock _gate = new();
    private readonly LatestText _latest = new();
    private readonly BaseExportingMetricReader _reader;
    private readonly MeterProvider _provider;

    /// <param name="meter">Name of the meter.</param>
    public MetricsScrape(string meter = AgentTelemetry.Name)
    {
        _reader = new BaseExportingMetricReader(_latest);
        _provider = Sdk.CreateMeterProviderBuilder()
            .AddMeter(meter)
            .AddFewSeries()
            .AddReader(_reader)
            .Build();
    }

    /// <summary>UTF-8, as <see cref="MetricText"/> has it.</summary>
    public byte[] Text()
    {
        lock (_gate)
        {
            _reader.Collect();
            return _latest.Text;
        }
    }

    public void Dispose() => _provider.Dispose();

    private sealed class LatestText : BaseExporter<Metric>
    {
        public byte[] Text { get; private set; } = [];

        public override ExportResult Export(in Batch<Metric> batch)
        {
            Text = MetricText.Of(batch);
            return ExportResult.Success;
        }
    }
}
