namespace Dancerwatch.EndToEnd.Tests.Telemetry;

/// <summary>An instrument as a collector gets to know it.</summary>
internal sealed record ReceivedInstrument(string Name, string Unit, string Description, string Kind);

/// <summary>A span as a collector gets it. Times in ns since 1970-01-01 UTC.</summary>
internal sealed record ReceivedSpan(
    string Trace,
    string Id,
    string Parent,
    string Name,
    ulong Start,
    ulong End
);

/// <summary>
/// A collector that takes metrics and traces over gRPC, on the HTTP/2 of node. Numbers of fields: opentelemetry-proto 1.x,
/// metrics/v1/metrics.proto and trace/v1/trace.proto.
/// </summary>
internal sealed class OtlpReceiver : IAsyncDisposable
{
    private const string Service = "/opentelemetry.proto.collector";
    private readonly ToolProcess _collector;

    private OtlpReceiver(ToolProcess collector, string port)
    {
        _collector = collector;
        Address = new Uri($"http://127.0.0.1:{port}");
    }

    public Uri Address { get; }

    public IEnumerable<ReceivedInstrument> Instruments =>
        Calls("metrics.v1.MetricsService")
            .Select(metric => new ReceivedInstrument(
                metric[1].Text,
                metric[3].Text,
                metric[2].Text,
                metric[5].Bytes.Length > 0 ? "gauge"
                    : metric[7].Bytes.Length > 0 ? "counter"
                    : metric[9].Bytes.Length > 0 ? "histogram"
                    : "?"
            ));

    public IEnumerable<ReceivedSpan> Spans =>
        Calls("trace.v1.TraceService")
            .Select(span => new ReceivedSpan(
                span[1].Hex,
                span[2].Hex,
                span[4].Hex,
                span[5].Text,
                span[7].Value,
                span[8].Value
            ));

    /// <summary>Skips the test where node is not installed.</summary>
    public static async Task<OtlpReceiver> StartAsync()
    {
        ToolProcess collector = new(
            ToolProcess.Require("node"),
            RepositoryFiles.PathOf("tests", "EndToEnd.Tests", "Telemetry", "collector.js")
        );
        const string listening = "listening ";
        string line = await collector.LineAsync(said => said.StartsWith(listening, StringComparison.Ordinal));
        return new OtlpReceiver(collector, line[listening.Length..]);
    }

    public ValueTask DisposeAsync() => _collector.DisposeAsync();

    /// <summary>What was sent to a service: a request holds resources, these hold scopes, and these hold it.</summary>
    private IEnumerable<Wire> Calls(string service) =>
        _collector
            .Lines.Select(line => line.Split(' '))
            .Where(call => call[0] == $"{Service}.{service}/Export")
            .SelectMany(call => Wire.FieldsOf(Convert.FromBase64String(call[1])))
            .Where(field => field.Number == 1)
            .SelectMany(resource => resource.All(2))
            .SelectMany(scope => scope.All(2));
}
