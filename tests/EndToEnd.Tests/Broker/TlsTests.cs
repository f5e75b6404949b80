using Dancerwatch.EdgeAgent.Configuration;

namespace Dancerwatch.EndToEnd.Tests.Broker;

/// <summary>Whom we trust and how we are known, with Debian's mosquitto and openssl at the other end.</summary>
public sealed class TlsTests
{
    [Fact]
    public async Task A_client_without_certificate_is_told_that_one_may_be_expected()
    {
        await using MosquittoHall hall = new();
        await hall.StartAsync();
        MqttSettings settings = hall.SettingsFor("dancerwatch");
        await using TestDaemon daemon = new(
            settings with
            {
                Tls = settings.Tls! with { ClientCertificateFile = null, ClientKeyFile = null },
            }
        );

        Assert.Contains("client certificate", await daemon.TroubleAsync(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_broker_certificate_of_another_authority_is_refused_and_told()
    {
        await using MosquittoHall hall = new();
        using HallCertificates other = new();
        await hall.StartAsync();
        MqttSettings settings = hall.SettingsFor("dancerwatch");
        await using TestDaemon daemon = new(
            settings with
            {
                Tls = settings.Tls! with { CaFile = other.CaFile },
            }
        );

        string told = await daemon.TroubleAsync();

        Assert.Contains("certificate that does not hold", told, StringComparison.Ordinal);
        Assert.Contains(other.CaFile, told, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_broker_certificate_for_another_host_is_refused_and_told()
    {
        await using MosquittoHall hall = new(brokerHost: "broker.elsewhere.example");
        await hall.StartAsync();
        await using TestDaemon daemon = new(hall.SettingsFor("dancerwatch"));

        string told = await daemon.TroubleAsync();

        Assert.Contains("another name than '127.0.0.1'", told, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("-tls1_1", "we agree on no TLS connection", "unsupported protocol")]
    [InlineData("-tls1_2", "broke the connection off", "Protocol version: TLSv1.2")]
    public async Task A_broker_that_only_speaks_what_came_before_TLS_1_2_is_refused(
        string version,
        string told,
        string serverSays
    )
    {
        using HallCertificates certificates = new();
        (string certificate, string key) = certificates.Sign("broker", server: true);
        int port = LoopbackPort.Free();
        // It can be brought to speak what it should not; -rev keeps it from reading our input.
        await using ToolProcess server = new(
            ToolProcess.Require("openssl"),
            "s_server",
            version,
            "-accept",
            $"127.0.0.1:{port}",
            "-cert",
            certificate,
            "-key",
            key,
            "-cipher",
            "ALL:@SECLEVEL=0",
            "-rev"
        );
        await server.LineAsync(line => line.StartsWith("ACCEPT", StringComparison.Ordinal));
        await using TestDaemon daemon = new(
            new MqttSettings
            {
                Host = "127.0.0.1",
                Port = port,
                Tls = new MqttTlsSettings { CaFile = certificates.CaFile },
            }
        );

        Assert.Contains(told, await daemon.TroubleAsync(), StringComparison.Ordinal);
        await server.LineAsync(line => line.Contains(serverSays, StringComparison.Ordinal));
    }

    [Fact]
    public async Task A_renewed_certificate_is_used_without_a_restart_and_without_a_word_of_being_away()
    {
        await using MosquittoHall hall = new(
            """
            user dancerwatch
            topic write dancerwatch/v1/#
            user renewed
            topic write dancerwatch/v1/#
            user scada
            topic read dancerwatch/v1/#

            """
        );
        await hall.StartAsync();
        await using TestDaemon daemon = new(hall.SettingsFor("dancerwatch"));
        await using ToolProcess scada = hall.Subscribe();
        await scada.LineAsync(line => line.Contains("\"online\"", StringComparison.Ordinal));

        hall.Renew("dancerwatch", subject: "renewed");

        await hall.BrokerSaysAsync(line => line.Contains("u'renewed'", StringComparison.Ordinal));
        daemon.Raise(step: 0);
        await scada.LineAsync(line => line.Contains("limit-approach", StringComparison.Ordinal));
        Assert.DoesNotContain(scada.Lines, line => line.Contains("\"offline\"", StringComparison.Ordinal));
        Assert.DoesNotContain(
            daemon.Log,
            line => line.StartsWith("Lost the broker", StringComparison.Ordinal)
        );
    }

    [Theory]
    [InlineData("steeped-4-minutes", "does not let user 'dancerwatch' in")]
    [InlineData("steeped-3-minutes", "Connected to the broker")]
    public async Task The_password_stands_in_no_line_of_the_log(string password, string told)
    {
        await using PasswordBroker broker = new("dancerwatch", "steeped-3-minutes");
        await broker.StartAsync();
        await using TestDaemon daemon = new(broker.SettingsWith(password));

        await daemon.LoggedAsync(told);

        Assert.DoesNotContain(daemon.Log, line => line.Contains("steeped", StringComparison.Ordinal));
    }
}
