using System.Globalization;
using System.Net;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.EndToEnd.Tests.Snapshots;

/// <summary>One machine that runs evenly, and whose gap goes missing when the test says so.</summary>
internal sealed class SteadyHall : IAsyncDisposable
{
    private readonly TagTable _table = new();
    private readonly TagCell<float> _gap;
    private readonly ControllerServer _controller;

    public SteadyHall()
    {
        _gap = _table.AddReal("Tea1.DancerGap");
        _gap.Value = 2_050;
        _table.AddReal("Tea1.UnwindSpeed").Value = 18;
        _controller = new ControllerServer(_table, new ControllerServerOptions(), TimeProvider.System);
        _controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
    }

    public void LoseTheGap() => Set(float.NaN);

    public void FindTheGap() => Set(2_050);

    /// <summary>A configuration that watches this hall.</summary>
    public string Configuration(MqttSettings broker, string stateDirectory) =>
        string.Create(
            CultureInfo.InvariantCulture,
            $$"""
            {
              "site": "leafside",
              "area": "tea-hall",
              "stateDirectory": "{{stateDirectory}}",
              "mqtt": {
                "host": "{{broker.Host}}",
                "port": {{broker.Port}},
                "clientId": "{{broker.ClientId}}",
                "stateIntervalSeconds": 0.2,
                "tls": {
                  "caFile": "{{broker.Tls!.CaFile}}",
                  "clientCertificateFile": "{{broker.Tls.ClientCertificateFile}}",
                  "clientKeyFile": "{{broker.Tls.ClientKeyFile}}"
                }
              },
              "controllers": [{ "name": "packing-a", "host": "127.0.0.1", "port": {{_controller.EndPoint.Port}} }],
              "machines": [{
                "name": "tea-1",
                "line": "line-1",
                "controller": "packing-a",
                "signals": {
                  "gap": { "tag": "Tea1.DancerGap", "type": "REAL" },
                  "unwindSpeed": { "tag": "Tea1.UnwindSpeed", "type": "REAL" }
                },
                "dancer": { "gapAtEmptyCounts": 600, "gapAtFullCounts": 3500 }
              }]
            }
            """
        );

    public ValueTask DisposeAsync() => _controller.DisposeAsync();

    private void Set(float gap)
    {
        using (_table.BeginScan())
            _gap.Value = gap;
    }
}
