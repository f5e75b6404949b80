using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EndToEnd.Tests.Broker;

/// <summary>
/// The broker and the subscriber of the Mosquitto project, as a hall would run them: TLS, a certificate for each client,
/// an access list by the certificate's name. In memory only, so that a restart forgets every retained state.
/// </summary>
internal sealed class MosquittoHall : IAsyncDisposable
{
    private readonly string _broker = ToolProcess.Require("mosquitto");
    private readonly string _subscriber = ToolProcess.Require("mosquitto_sub");
    private readonly HallCertificates _certificates = new();
    private readonly int _port = LoopbackPort.Free();
    private ToolProcess? _running;

    public MosquittoHall()
    {
        (string certificate, string key) = _certificates.Sign("broker", server: true);
        File.WriteAllText(
            _certificates.PathOf("acl"),
            """
            user dancerwatch
            topic write dancerwatch/v1/#
            user scada
            topic read dancerwatch/v1/#

            """
        );
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
            persistence false

            """
        );
    }

    public async Task StartAsync()
    {
        _running = new ToolProcess(_broker, "-v", "-c", _certificates.PathOf("mosquitto.conf"));
        await _running.LineAsync(line => line.EndsWith("running", StringComparison.Ordinal));
    }

    /// <summary>Kills the broker without a goodbye.</summary>
    public async Task KillAsync()
    {
        if (_running is not null)
            await _running.DisposeAsync();
        _running = null;
    }

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
    public ToolProcess Subscribe()
    {
        (string certificate, string key) = _certificates.Sign("scada", server: false);
        return new ToolProcess(
            _subscriber,
            "-V",
            "mqttv5",
            "-h",
            "127.0.0.1",
            "-p",
            $"{_port}",
            "-q",
            "1",
            "-t",
            "dancerwatch/v1/#",
            "--cafile",
            _certificates.CaFile,
            "--cert",
            certificate,
            "--key",
            key,
            "-F",
            "%r %q %t %p"
        );
    }

    public async ValueTask DisposeAsync()
    {
        await KillAsync();
        _certificates.Dispose();
    }
}
