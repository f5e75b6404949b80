using System.Globalization;
using System.Net;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.VirtualMachine.EtherNetIp;
using Dancerwatch.VirtualMachine.Tags;

namespace Dancerwatch.EndToEnd.Tests.Outbox;

/// <summary>
/// Machines whose gap goes missing and comes back several times a second, each at its own pace: each time a condition is
/// raised and cleared. Many more events than any hall gives.
/// </summary>
internal sealed class RestlessHall : IAsyncDisposable
{
    private static readonly TimeSpan s_tick = TimeSpan.FromMilliseconds(20);

    private readonly TagTable _table = new();
    private readonly TagCell<float>[] _gaps;
    private readonly ControllerServer _controller;
    private readonly CancellationTokenSource _stop = new();
    private readonly Task _running;
    private volatile bool _quiet;

    public RestlessHall(int machines = 16)
    {
        _gaps = new TagCell<float>[machines];
        for (int i = 0; i < machines; i++)
        {
            _gaps[i] = _table.AddReal($"Tea{i + 1}.DancerGap");
            _gaps[i].Value = 2_050;
            _table.AddReal($"Tea{i + 1}.UnwindSpeed").Value = 18;
        }
        _controller = new ControllerServer(_table, new ControllerServerOptions(), TimeProvider.System);
        _controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
        _running = RunAsync();
    }

    /// <summary>From now on nothing is missing, and so nothing more is raised; for good.</summary>
    public void Quieten() => _quiet = true;

    /// <summary>A configuration that watches this hall.</summary>
    /// <param name="stateDirectory">Null: none is named.</param>
    public string Configuration(MqttSettings broker, string? stateDirectory, OutboxSettings? outbox = null)
    {
        outbox ??= new OutboxSettings();
        string state = stateDirectory is null ? "" : $"\"stateDirectory\": \"{stateDirectory}\",";
        string machines = string.Join(",\n", Enumerable.Range(1, _gaps.Length).Select(Machine));
        return string.Create(
            CultureInfo.InvariantCulture,
            $$"""
            {
              "site": "leafside",
              "area": "tea-hall",
              {{state}}
              "outbox": { "maximumMegabytes": {{outbox.MaximumMegabytes}}, "memoryEvents": {{outbox.MemoryEvents}} },
              "mqtt": {
                "host": "{{broker.Host}}",
                "port": {{broker.Port}},
                "clientId": "{{broker.ClientId}}",
                "stateIntervalSeconds": 2,
                "tls": {
                  "caFile": "{{broker.Tls!.CaFile}}",
                  "clientCertificateFile": "{{broker.Tls.ClientCertificateFile}}",
                  "clientKeyFile": "{{broker.Tls.ClientKeyFile}}"
                }
              },
              "controllers": [{ "name": "packing-a", "host": "127.0.0.1", "port": {{_controller.EndPoint.Port}} }],
              "machines": [
            {{machines}}
              ]
            }
            """
        );
    }

    public async ValueTask DisposeAsync()
    {
        await _stop.CancelAsync();
        await _running;
        await _controller.DisposeAsync();
        _stop.Dispose();
    }

    private static string Machine(int number) =>
        $$"""
            {
              "name": "tea-{{number}}",
              "line": "line-1",
              "controller": "packing-a",
              "signals": {
                "gap": { "tag": "Tea{{number}}.DancerGap", "type": "REAL" },
                "unwindSpeed": { "tag": "Tea{{number}}.UnwindSpeed", "type": "REAL" }
              },
              "dancer": { "gapAtEmptyCounts": 600, "gapAtFullCounts": 3500 },
              "warnings": {
                "data-lost": { "onDelaySeconds": 0, "offDelaySeconds": 0, "limitSeconds": 0.1, "deadbandSeconds": 0 }
              }
            }
            """;

    private async Task RunAsync()
    {
        int[] left = new int[_gaps.Length];
        using PeriodicTimer timer = new(s_tick);
        try
        {
            while (await timer.WaitForNextTickAsync(_stop.Token))
            {
                using (_table.BeginScan())
                {
                    for (int i = 0; i < _gaps.Length; i++)
                    {
                        if (_quiet)
                            _gaps[i].Value = 2_050;
                        else if (--left[i] <= 0)
                            Turn(i, left);
                    }
                }
            }
        }
        catch (OperationCanceledException) { }
    }

    private void Turn(int machine, int[] left)
    {
        _gaps[machine].Value = float.IsNaN(_gaps[machine].Value) ? 2_050 : float.NaN;
        left[machine] = Random.Shared.Next(8, 17);
    }
}
