using Dancerwatch.EdgeAgent.Tests.Hosting;
using Dancerwatch.EndToEnd.Tests.Outbox;

namespace Dancerwatch.EndToEnd.Tests.Sparkplug;

/// <summary>Two machines, Debian's mosquitto in memory alone, and a daemon that is a Sparkplug node there and publishes nothing else.</summary>
internal sealed class SparkplugHall : IAsyncDisposable
{
    private readonly string _mosquitto = ToolProcess.Require("mosquitto");
    private readonly StateDirectory _state = new();
    private ToolProcess? _broker;

    public TestHall Machines { get; } = new("leaf", machines: 2);

    public int Port { get; } = LoopbackPort.Free();

    public async Task StartBrokerAsync()
    {
        // Without a configuration it listens to this computer alone.
        _broker = new ToolProcess(_mosquitto, "-v", "-p", $"{Port}");
        await _broker.LineAsync(line => line.EndsWith("running", StringComparison.Ordinal));
    }

    /// <summary>Kills the broker: whatever it retained is forgotten.</summary>
    public async Task KillBrokerAsync()
    {
        await _broker!.DisposeAsync();
        _broker = null;
    }

    /// <summary>Waits until the broker has logged something.</summary>
    public Task BrokerLogsAsync(string text) =>
        _broker!.LineAsync(line => line.Contains(text, StringComparison.Ordinal));

    /// <param name="more">Further keys of the sparkplug section, each with a comma before it.</param>
    public async Task<AgentProcess> StartDaemonAsync(string more = "")
    {
        string path = _state.PathOf("hall.jsonc");
        string text = Machines
            .Configuration(machines: 2)
            .Replace(
                "\"controllers\":",
                $$"""
                "stateDirectory": "{{_state.Place}}",
                "recordings": { "enabled": false },
                "sparkplug": {
                  "host": "127.0.0.1",
                  "port": {{Port}},
                  "groupId": "{{SparkplugHost.Group}}",
                  "edgeNodeId": "tea-hall",
                  "primaryHost": "{{SparkplugHost.Name}}",
                  "intervalSeconds": 0.2{{more}}
                },
                "controllers":
                """,
                StringComparison.Ordinal
            )
            .Replace(
                "\"dancer\":",
                """
                "warnings": {
                  "data-lost": { "onDelaySeconds": 0, "offDelaySeconds": 0, "limitSeconds": 0.5, "deadbandSeconds": 0 }
                },
                "dancer":
                """,
                StringComparison.Ordinal
            );
        await File.WriteAllTextAsync(path, text, TestContext.Current.CancellationToken);
        return AgentProcess.Start(path);
    }

    public async ValueTask DisposeAsync()
    {
        if (_broker is not null)
            await _broker.DisposeAsync();
        await Machines.DisposeAsync();
        _state.Dispose();
    }
}
