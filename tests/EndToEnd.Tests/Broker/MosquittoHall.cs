using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EndToEnd.Tests.Broker;

/// <summary>
/// The broker and the subscriber of the Mosquitto project, as a hall would run them: TLS, a certificate for each client,
/// an access list by the certificate's name. In memory only, so that a restart forgets every retained state, unless asked
/// otherwise.
/// </summary>
internal sealed class MosquittoHall : IAsyncDisposable
{
    private readonly string _broker = ToolProcess.Require("mosquitto");
    private readonly string _subscriber = ToolProcess.Require("mosquitto_sub");
    private readonly HallCertificates _certificates = new();
    private readonly int _port = LoopbackPort.Free();
    private ToolProcess? _running;

    /// <summary>The daemon may publish everything of ours, and <c>scada</c> may read it.</summary>
    public const string Access = """
        user dancerwatch
        topic write dancerwatch/v1/#
        user scada
        topic read dancerwatch/v1/#

        """;

    /// <param name="access">The access list.</param>
    /// <param name="brokerHost">Name of the host that the broker's certificate is for, where that is not loopback.</param>
    /// <param name="persistent">Whether an orderly restart keeps what waits for a subscriber.</param>
    /// <param name="setting">A further line of the broker's configuration.</param>
    public MosquittoHall(
        string access = Access,
        string? brokerHost = null,
        bool persistent = false,
        string setting = ""
    )
    {
        (string certificate, string key) = _certificates.Sign("broker", server: true, host: brokerHost);
        File.WriteAllText(_certificates.PathOf("acl"), access);
        File.WriteAllText(
            _certificates.PathOf("mosquitto.conf"),
            $"""
            listener {_port} 127.0.0.1
            user {Environment.UserName}
            cafile {_certificates.CaFile}
            certfile {certificate}
            keyfile {key}
            tls_version tlsv1.2
            require_certificate true
            use_identity_as_username true
            acl_file {_certificates.PathOf("acl")}
            max_queued_messages 1000000
            persistence {(persistent ? "true" : "false")}
            persistence_location {_certificates.Directory}/
            {setting}

            """
        );
    }

    public async Task StartAsync()
    {
        _running = new ToolProcess(_broker, "-v", "-c", _certificates.PathOf("mosquitto.conf"));
        await _running.LineAsync(line => line.EndsWith("running", StringComparison.Ordinal));
    }

    /// <summary>Waits until the broker, as it runs now, has logged something.</summary>
    public Task LogsAsync(string text) =>
        _running!.LineAsync(line => line.Contains(text, StringComparison.Ordinal));

    /// <summary>Kills the broker without a goodbye.</summary>
    public async Task KillAsync()
    {
        if (_running is not null)
            await _running.DisposeAsync();
        _running = null;
    }

    /// <summary>Ends the broker as its service would.</summary>
    public async Task StopAsync()
    {
        await _running!.EndAsync(TestContext.Current.CancellationToken);
        await KillAsync();
    }

    /// <summary>The broker answers nothing and keeps every connection, until it is resumed.</summary>
    public Task PauseAsync() => _running!.SendAsync("STOP");

    public Task ResumeAsync() => _running!.SendAsync("CONT");

    /// <summary>Puts another access list in force.</summary>
    public async Task SetAccessAsync(string access)
    {
        await File.WriteAllTextAsync(_certificates.PathOf("acl"), access);
        await _running!.SendAsync("HUP");
        await BrokerSaysAsync(line => line.Contains("Reloading config", StringComparison.Ordinal));
    }

    /// <summary>What the broker tells of its clients, from its start on.</summary>
    public Task<string> BrokerSaysAsync(Func<string, bool> fits) => _running!.LineAsync(fits);

    /// <summary>Puts a new certificate and key in the place of a client's.</summary>
    /// <param name="subject">Whom the new certificate is for.</param>
    public void Renew(string client, string subject) => _certificates.Sign(client, server: false, subject);

    /// <summary>How a client of this name connects.</summary>
    public MqttSettings SettingsFor(string client)
    {
        (string certificate, string key) = _certificates.Sign(client, server: false);
        return new MqttSettings
        {
            Host = "127.0.0.1",
            Port = _port,
            StateIntervalSeconds = 0.2,
            Tls = new MqttTlsSettings
            {
                CaFile = _certificates.CaFile,
                ClientCertificateFile = certificate,
                ClientKeyFile = key,
            },
        };
    }

    /// <summary>A subscriber that prints <c>RETAINED QOS TOPIC PAYLOAD</c> of each message, one a line.</summary>
    public ToolProcess Subscribe(string client = "scada", string topic = "dancerwatch/v1/#") =>
        new(_subscriber, ["-t", topic, "-F", "%r %q %t %p", .. ConnectArguments(client)]);

    /// <summary>The same of events alone; the broker keeps for it what it misses while none of them is there.</summary>
    public ToolProcess SubscribeToEvents()
    {
        string[] session = ["-c", "-i", "events", "-x", "3600"];
        string[] what = ["-t", "+/v1/+/+/+/+/event", "-F", "%r %q %t %p"];
        return new ToolProcess(_subscriber, [.. session, .. what, .. ConnectArguments("scada")]);
    }

    /// <summary>Waits until the broker knows the subscriber to events.</summary>
    public Task EventsSubscribedAsync() =>
        BrokerSaysAsync(line => line.Contains("Received SUBSCRIBE from events", StringComparison.Ordinal));

    /// <summary>Publishes one message by a program that is not ours, and waits for its end.</summary>
    public async Task PublishAsync(string client, string topic, string message)
    {
        await using ToolProcess publisher = new(
            ToolProcess.Require("mosquitto_pub"),
            ["-t", topic, "-m", message, .. ConnectArguments(client)]
        );
        await publisher.LinesToEndAsync(TestContext.Current.CancellationToken);
    }

    private string[] ConnectArguments(string client)
    {
        (string certificate, string key) = _certificates.Sign(client, server: false);
        string[] where = ["-V", "mqttv5", "-h", "127.0.0.1", "-p", $"{_port}", "-q", "1"];
        return [.. where, "--cafile", _certificates.CaFile, "--cert", certificate, "--key", key];
    }

    public async ValueTask DisposeAsync()
    {
        await KillAsync();
        _certificates.Dispose();
    }
}
