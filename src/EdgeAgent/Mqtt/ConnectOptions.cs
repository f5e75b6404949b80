using System.Net;
using System.Net.Security;
using System.Security.Authentication;
using System.Security.Cryptography;
using System.Security.Cryptography.X509Certificates;
using Dancerwatch.EdgeAgent.Configuration;
using MQTTnet;
using MQTTnet.Formatter;
using MQTTnet.Protocol;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>What is said for us when the connection breaks without a goodbye, at QoS 1.</summary>
internal sealed record LastWill(string Topic, byte[] Payload)
{
    public string? ContentType { get; init; }

    /// <summary>Whether the broker keeps it for whoever subscribes later.</summary>
    public bool IsRetained { get; init; }

    /// <summary>Whether it is said after a goodbye, too.</summary>
    public bool IsAlwaysSaid { get; init; }
}

/// <summary>
/// Everything one attempt to connect needs. Made anew for each, so that a renewed certificate or password is used with
/// the next one.
/// </summary>
internal sealed class ConnectOptions
{
    /// <summary>Longest packet we take, bytes: hundreds of times what anybody has to tell us. The broker drops a longer one.</summary>
    private const uint LongestPacket = 64 << 10;

    private ConnectOptions() { }

    public MqttClientOptions Options { get; } = new();

    /// <summary>What was found wrong with the broker's certificate; null for nothing.</summary>
    public string? CertificateFinding { get; private set; }

    /// <exception cref="BrokerException">A file that it needs cannot be used.</exception>
    public static ConnectOptions Of(BrokerSettings settings, LastWill? will)
    {
        ConnectOptions made = new();
        MqttClientOptions options = made.Options;
        options.ProtocolVersion = MqttProtocolVersion.V500;
        options.ClientId = settings.ClientId;
        options.KeepAlivePeriod = TimeSpan.FromSeconds(settings.KeepAliveSeconds);
        // Clean start; the session ends with the connection, for expiry is left at 0.
        options.CleanSession = true;
        options.MaximumPacketSize = LongestPacket;
        if (settings.UserName is not null)
            options.Credentials = new MqttClientCredentials(
                settings.UserName,
                Password(settings.PasswordFile)
            );
        if (will is not null)
        {
            options.WillTopic = will.Topic;
            options.WillPayload = will.Payload;
            options.WillContentType = will.ContentType;
            options.WillQualityOfServiceLevel = MqttQualityOfServiceLevel.AtLeastOnce;
            options.WillRetain = will.IsRetained;
        }
        MqttClientTcpOptions tcp = new() { RemoteEndpoint = new DnsEndPoint(settings.Host, settings.Port) };
        if (settings.Tls is not null)
            tcp.TlsOptions = made.Tls(settings.Host, settings.Tls);
        options.ChannelOptions = tcp;
        return made;
    }

    private MqttClientTlsOptions Tls(string host, MqttTlsSettings settings)
    {
        MqttClientTlsOptions tls = new()
        {
            UseTls = true,
            SslProtocol = SslProtocols.Tls12 | SslProtocols.Tls13,
            TargetHost = host,
            // Lists of revoked certificates live on the Internet, which a machine network rightly does not reach.
            RevocationMode = X509RevocationMode.NoCheck,
            IgnoreCertificateRevocationErrors = true,
            CertificateValidationHandler = offered => Accept(offered, host, settings.CaFile),
        };
        if (settings.CaFile is not null)
            tls.TrustChain = Authorities(settings.CaFile);
        if (settings is { ClientCertificateFile: { } certificate, ClientKeyFile: { } key })
            tls.ClientCertificatesProvider = new DefaultMqttCertificatesProvider([Client(certificate, key)]);
        return tls;
    }

    private bool Accept(MqttClientCertificateValidationEventArgs offered, string host, string? caFile)
    {
        CertificateFinding = offered.SslPolicyErrors switch
        {
            SslPolicyErrors.None => null,
            var errors when errors.HasFlag(SslPolicyErrors.RemoteCertificateNotAvailable) =>
                "shows no certificate",
            var errors when errors.HasFlag(SslPolicyErrors.RemoteCertificateNameMismatch) =>
                $"shows a certificate for another name than '{host}'; use a name that stands in the certificate as host",
            _ => $"shows a certificate that does not hold ({ChainFindings(offered.Chain)}); "
                + (caFile is null ? "name its authority in caFile" : $"is {caFile} its authority?"),
        };
        return CertificateFinding is null;
    }

    private static string ChainFindings(X509Chain? chain) =>
        chain is null
            ? "no chain"
            : string.Join(", ", chain.ChainStatus.Select(found => found.Status).Distinct());

    private static byte[]? Password(string? path)
    {
        if (path is null)
            return null;
        try
        {
            using StreamReader file = new(path);
            return System.Text.Encoding.UTF8.GetBytes(file.ReadLine() ?? "");
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw BrokerTrouble.OfFile("passwordFile", path, e);
        }
    }

    private static X509Certificate2Collection Authorities(string path)
    {
        try
        {
            X509Certificate2Collection authorities = [];
            authorities.ImportFromPemFile(path);
            return authorities.Count > 0
                ? authorities
                : throw new CryptographicException("it holds no certificate");
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or CryptographicException)
        {
            throw BrokerTrouble.OfFile("caFile", path, e);
        }
    }

    private static X509Certificate2 Client(string certificate, string key)
    {
        try
        {
            return X509Certificate2.CreateFromPemFile(certificate, key);
        }
        // ArgumentException: the key of another elliptic-curve certificate; that of another RSA certificate is cryptographic.
        catch (Exception e)
            when (e
                    is IOException
                        or UnauthorizedAccessException
                        or CryptographicException
                        or ArgumentException
            )
        {
            throw BrokerTrouble.OfFile("clientCertificateFile and clientKeyFile", $"{certificate}, {key}", e);
        }
    }
}
