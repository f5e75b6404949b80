using System.Globalization;
using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EndToEnd.Tests.Bridge;

/// <summary>
/// A site's and the centre's Mosquitto, by the very files that config/ gives away: only places, ports and the time between two
/// tries are the test's.
/// </summary>
internal sealed class BridgedBrokers : IAsyncDisposable
{
    private readonly string _broker = ToolProcess.Require("mosquitto");
    private readonly string _subscriber = ToolProcess.Require("mosquitto_sub");
    private readonly HallCertificates _certificates = new();
    private readonly int _sitePort = LoopbackPort.Free();
    private readonly int _centrePort = LoopbackPort.Free();
    private ToolProcess? _site;
    private ToolProcess? _centre;

    public BridgedBrokers()
    {
        Link = new RelayedPort(_centrePort);
        Write("mosquitto-centre.conf", "centre", _centrePort, "broker");
        Write("mosquitto-site.conf", "site", _sitePort, "broker", "leafside");
        Copy("mosquitto.acl", "site");
        Copy("mosquitto-centre.acl", "centre");
    }

    public RelayedPort Link { get; }

    /// <summary>How the hall's daemon reaches its site's broker.</summary>
    public MqttSettings Settings
    {
        get
        {
            (string certificate, string key) = _certificates.Sign("tea-hall", server: false);
            return new MqttSettings
            {
                Host = "127.0.0.1",
                Port = _sitePort,
                ClientId = "tea-hall",
                Tls = new MqttTlsSettings
                {
                    CaFile = _certificates.CaFile,
                    ClientCertificateFile = certificate,
                    ClientKeyFile = key,
                },
            };
        }
    }

    /// <summary>Events that the site's broker, as it runs now, has taken from the daemon.</summary>
    public int EventsAtSite =>
        _site!.Lines.Count(line =>
            line.Contains("Received PUBLISH from tea-hall", StringComparison.Ordinal)
            && line.Contains("/event'", StringComparison.Ordinal)
        );

    /// <summary>Events that the centre's broker has taken from the bridge, repeats included.</summary>
    public int EventsAtCentre =>
        _centre!.Lines.Count(line =>
            line.Contains("Received PUBLISH from leafside", StringComparison.Ordinal)
            && line.Contains("/event'", StringComparison.Ordinal)
        );

    public async Task StartCentreAsync() => _centre = await StartAsync("mosquitto-centre.conf");

    public async Task StartSiteAsync() => _site = await StartAsync("mosquitto-site.conf");

    /// <summary>Ends the site's broker as its service would.</summary>
    public async Task StopSiteAsync()
    {
        await _site!.EndAsync(TestContext.Current.CancellationToken);
        await _site.DisposeAsync();
        _site = null;
    }

    /// <summary>Reads at the centre; prints <c>RETAINED QOS TOPIC PAYLOAD</c> of each message, one a line.</summary>
    public ToolProcess Subscribe(params string[] topics)
    {
        (string certificate, string key) = _certificates.Sign("centre", server: false);
        string[] where = ["-V", "mqttv5", "-h", "127.0.0.1", "-p", $"{_centrePort}", "-q", "1"];
        string[] who = ["--cafile", _certificates.CaFile, "--cert", certificate, "--key", key];
        return new ToolProcess(
            _subscriber,
            [.. where, .. who, "-F", "%r %q %t %p", .. topics.SelectMany(topic => new[] { "-t", topic })]
        );
    }

    /// <summary>The centre has seen the bridge go: all that it had taken by then is counted.</summary>
    public Task LinkEndedAsync() =>
        _centre!.LineAsync(line =>
            line.Contains("Client leafside ", StringComparison.Ordinal)
            && (
                line.Contains("closed its connection", StringComparison.Ordinal)
                || line.Contains("disconnected", StringComparison.Ordinal)
            )
        );

    public Task SubscribedAsync() =>
        _centre!.LineAsync(line => line.Contains("u'centre'", StringComparison.Ordinal));

    public async ValueTask DisposeAsync()
    {
        if (_site is not null)
            await _site.DisposeAsync();
        if (_centre is not null)
            await _centre.DisposeAsync();
        await Link.DisposeAsync();
        _certificates.Dispose();
    }

    private async Task<ToolProcess> StartAsync(string configuration)
    {
        ToolProcess process = new(_broker, "-v", "-c", _certificates.PathOf(configuration));
        await process.LineAsync(line => line.EndsWith("running", StringComparison.Ordinal));
        return process;
    }

    private void Copy(string access, string where) =>
        File.Copy(RepositoryFiles.PathOf("config", access), Path.Combine(Place(where), access));

    private string Place(string where) => Directory.CreateDirectory(_certificates.PathOf(where)).FullName;

    private void Write(string file, string where, int port, params string[] names)
    {
        string place = Place(where);
        File.Copy(_certificates.CaFile, Path.Combine(place, "ca.pem"));
        File.Copy(_certificates.CaFile, Path.Combine(place, "centre-ca.pem"));
        foreach (string name in names)
        {
            (string certificate, string key) = _certificates.Sign(name, server: name == "broker");
            File.Copy(certificate, Path.Combine(place, $"{name}.pem"));
            File.Copy(key, Path.Combine(place, $"{name}.key"));
        }
        string text = File.ReadAllText(RepositoryFiles.PathOf("config", file));
        foreach (
            (string usual, string here) in new[]
            {
                ("listener 8883", string.Create(CultureInfo.InvariantCulture, $"listener {port} 127.0.0.1")),
                ("192.0.2.200:8883", string.Create(CultureInfo.InvariantCulture, $"127.0.0.1:{Link.Port}")),
                ($"/etc/mosquitto/{where}", place),
                ("/var/lib/mosquitto", place),
                ("restart_timeout 1 30", "restart_timeout 1"),
            }
        )
            text = text.Replace(usual, here, StringComparison.Ordinal);
        File.WriteAllText(_certificates.PathOf(file), $"{text}\nuser {Environment.UserName}\n");
    }
}
