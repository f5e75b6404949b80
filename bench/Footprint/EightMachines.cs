using System.Globalization;
using System.Net;
using System.Security.Cryptography.X509Certificates;
using Dancerwatch.Tests;
using Dancerwatch.VirtualMachine.Hall;
using MQTTnet.Certificates;
using MQTTnet.Server;

namespace Dancerwatch.Footprint;

/// <summary>
/// What an agent of eight machines is connected to: two virtual controllers of four machines each, and a broker that wants
/// TLS with a client certificate at one port and nothing at another. All in this process, on loopback.
/// </summary>
internal sealed class EightMachines : IAsyncDisposable
{
    private const byte ReadTag = 0x4C;
    private static readonly TimeSpan s_restart = TimeSpan.FromSeconds(20);
    private readonly CancellationTokenSource _end = new();
    private readonly PackingHall[] _halls =
    [
        new(TeaHall.Machines, TimeProvider.System) { RestartAfter = s_restart },
        new(TeaHall.Machines, TimeProvider.System) { RestartAfter = s_restart },
    ];
    private readonly HallCertificates _certificates = new();
    private readonly MqttServer _broker;
    private readonly int _tlsPort;
    private readonly int _plainPort;
    private readonly Task _running;
    private long _messages;

    public EightMachines()
    {
        foreach (PackingHall hall in _halls)
            hall.Controller.Start(new IPEndPoint(IPAddress.Loopback, 0));
        MqttServerOptions options = new();
        (string certificate, string key) = _certificates.Sign("broker", server: true);
        MqttServerTlsTcpEndpointOptions endpoint = options.TlsEndpointOptions;
        endpoint.IsEnabled = true;
        endpoint.BoundInterNetworkAddress = IPAddress.Loopback;
        endpoint.BoundInterNetworkV6Address = IPAddress.None;
        endpoint.Port = 0;
        endpoint.ClientCertificateRequired = true;
        // Whose it is does not matter here: the agent's work for it is the same.
        endpoint.RemoteCertificateValidationCallback = (_, offered, _, _) => offered is not null;
        endpoint.CertificateProvider = new X509CertificateProvider(
            X509Certificate2.CreateFromPemFile(certificate, key)
        );
        options.DefaultEndpointOptions.IsEnabled = true;
        options.DefaultEndpointOptions.BoundInterNetworkAddress = IPAddress.Loopback;
        options.DefaultEndpointOptions.BoundInterNetworkV6Address = IPAddress.None;
        options.DefaultEndpointOptions.Port = 0;
        _broker = new MqttServerFactory().CreateMqttServer(options);
        _broker.ClientConnectedAsync += _ =>
        {
            BrokerClients++;
            return Task.CompletedTask;
        };
        _broker.InterceptingPublishAsync += _ =>
        {
            Interlocked.Increment(ref _messages);
            return Task.CompletedTask;
        };
        _broker.StartAsync().GetAwaiter().GetResult();
        _tlsPort = endpoint.Port;
        _plainPort = options.DefaultEndpointOptions.Port;
        _running = Task.WhenAll(_halls.Select(hall => hall.RunAsync(_end.Token)));
    }

    /// <summary>Tags read from each controller so far.</summary>
    public IEnumerable<long> TagsRead => _halls.Select(hall => hall.Controller.Counters.RequestsOf(ReadTag));

    /// <summary>Where the controllers are.</summary>
    public IEnumerable<int> ControllerPorts => _halls.Select(hall => hall.Controller.EndPoint.Port);

    /// <summary>Messages that the broker took.</summary>
    public long Messages => Interlocked.Read(ref _messages);

    /// <summary>Clients that ever connected to the broker.</summary>
    public int BrokerClients { get; private set; }

    /// <summary>The demo hall's configuration twice over, written beside the certificates.</summary>
    /// <param name="teaHall">Where the demo hall's is.</param>
    /// <param name="overTls">How the broker is reached.</param>
    public string WriteConfiguration(string teaHall, bool overTls = true)
    {
        string text = File.ReadAllText(teaHall);
        int machines = text.IndexOf('[', text.IndexOf("\"machines\"", StringComparison.Ordinal)) + 1;
        // Each of the four ends with a comma.
        string four = text[machines..text.LastIndexOf(']')];
        string fourMore = four.Replace("packing-a", "packing-b", StringComparison.Ordinal);
        for (int i = 1; i <= 4; i++)
            fourMore = fourMore.Replace($"\"tea-{i}\"", $"\"tea-{i + 4}\"", StringComparison.Ordinal);
        (string certificate, string key) = _certificates.Sign("tea-hall", server: false);
        string broker = overTls
            ? $$"""
                "port": {{_tlsPort}},
                "tls": {
                  "caFile": "{{_certificates.CaFile}}",
                  "clientCertificateFile": "{{certificate}}",
                  "clientKeyFile": "{{key}}"
                }
                """
            : $"\"port\": {_plainPort}";
        string configuration = string.Create(
            CultureInfo.InvariantCulture,
            $$"""
            {
              "site": "leafside",
              "area": "tea-hall",
              "stateDirectory": "state",
              "mqtt": {
                "host": "127.0.0.1",
                {{broker}}
              },
              "controllers": [
                { "name": "packing-a", "host": "127.0.0.1", "port": {{_halls[0].Controller.EndPoint.Port}} },
                { "name": "packing-b", "host": "127.0.0.1", "port": {{_halls[1].Controller.EndPoint.Port}} }
              ],
              "machines": [{{four}}{{fourMore}}]
            }
            """
        );
        string path = _certificates.PathOf("eight-machines.jsonc");
        File.WriteAllText(path, configuration);
        return path;
    }

    public async ValueTask DisposeAsync()
    {
        await _end.CancelAsync();
        await _running;
        foreach (PackingHall hall in _halls)
            await hall.Controller.StopAsync();
        await _broker.StopAsync();
        _broker.Dispose();
        _certificates.Dispose();
        _end.Dispose();
    }
}
