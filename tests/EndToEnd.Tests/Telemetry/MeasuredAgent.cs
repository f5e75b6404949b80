using System.Globalization;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Tests.Hosting;
using Dancerwatch.EndToEnd.Tests.Outbox;

namespace Dancerwatch.EndToEnd.Tests.Telemetry;

/// <summary>The daemon with everything that has meters: controller, broker, Sparkplug node, state directory, recordings, status page.</summary>
internal sealed class MeasuredAgent : IAsyncDisposable
{
    private readonly TestHall _hall;
    private readonly EmbeddedBroker _broker;
    private readonly StateDirectory _state;
    private readonly AgentProcess _process;
    private readonly HttpClient _http = new();

    private MeasuredAgent(
        TestHall hall,
        EmbeddedBroker broker,
        StateDirectory state,
        AgentProcess process,
        int port
    )
    {
        (_hall, _broker, _state, _process) = (hall, broker, state, process);
        Page = new Uri(string.Create(CultureInfo.InvariantCulture, $"http://127.0.0.1:{port}/"));
    }

    /// <summary>Where the status page is.</summary>
    public Uri Page { get; }

    /// <param name="collector">Where it sends OTLP; null for nowhere.</param>
    public static async Task<MeasuredAgent> StartAsync(Uri? collector = null)
    {
        TestHall hall = new("tea");
        EmbeddedBroker broker = await EmbeddedBroker.StartAsync();
        StateDirectory state = new();
        int port = LoopbackPort.Free();
        string telemetry = collector is null
            ? ""
            : $"\"telemetry\": {{ \"otlpEndpoint\": \"{collector}\" }},";
        string configuration = hall.Configuration()
            .Replace(
                "\"area\": \"tea-hall\",",
                $$"""
                "area": "tea-hall",
                "stateDirectory": "{{state.Place}}",
                "mqtt": { "host": "127.0.0.1", "port": {{broker.Port}} },
                "sparkplug": {
                  "host": "127.0.0.1", "port": {{broker.Port}}, "clientId": "dancerwatch-sparkplug",
                  "groupId": "leafside", "edgeNodeId": "tea-hall"
                },
                "statusPage": { "enabled": true, "port": {{port}} },
                {{telemetry}}
                """,
                StringComparison.Ordinal
            );
        string file = state.PathOf("hall.jsonc");
        await File.WriteAllTextAsync(file, configuration, TestContext.Current.CancellationToken);
        return new MeasuredAgent(hall, broker, state, AgentProcess.Start(file), port);
    }

    /// <summary>The machine's gap is no number any more: lost data is raised within seconds.</summary>
    public void LoseData() => _hall.Lose(1);

    /// <summary>What Prometheus would scrape, once a line of it begins so.</summary>
    public async Task<string> MetricsAsync(string line)
    {
        try
        {
            return await Eventually.GetAsync(
                () =>
                    Scrape() is { } text && text.Contains($"\n{line}", StringComparison.Ordinal)
                        ? text
                        : null,
                line,
                seconds: 30
            );
        }
        catch (TimeoutException e)
        {
            throw new TimeoutException($"{e.Message}; it logged:\n{string.Join('\n', _process.Log)}", e);
        }
    }

    public Task<int> StopAsync() => _process.StopAsync();

    public async ValueTask DisposeAsync()
    {
        await _process.DisposeAsync();
        _http.Dispose();
        await _broker.DisposeAsync();
        await _hall.DisposeAsync();
        _state.Dispose();
    }

    private string? Scrape()
    {
        try
        {
            return _http
                .GetStringAsync(new Uri(Page, "metrics"), TestContext.Current.CancellationToken)
                .GetAwaiter()
                .GetResult();
        }
        catch (HttpRequestException)
        {
            return null; // not there yet
        }
    }
}
