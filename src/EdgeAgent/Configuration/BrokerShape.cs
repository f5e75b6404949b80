namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>How a client of ours is connected to its broker.</summary>
internal static class BrokerShape
{
    /// <param name="usual">Where the fallbacks stand.</param>
    public static BrokerSettings Read(Section s, BrokerSettings usual)
    {
        s.Forbid(
            "password",
            "never a password in this file, which people copy and mail",
            "Put it into a file of its own and name that under passwordFile."
        );
        BrokerSettings broker = new()
        {
            Host = s.Text("host", "Host name or address of the broker.", TextRule.Host),
            Port = s.Whole("port", "TCP port; by custom 1883 without TLS, 8883 with.", 1, 65_535, usual.Port),
            ClientId = s.Text(
                "clientId",
                "Client identifier; each client of a broker needs its own.",
                TextRule.TopicWord,
                usual.ClientId
            ),
            UserName = s.OptionalText("userName", "User name at the broker.", TextRule.Any),
            PasswordFile = s.OptionalText(
                "passwordFile",
                "File whose first line is the password, relative to this file; or $CREDENTIALS_DIRECTORY/NAME for a credential that systemd hands over.",
                TextRule.Any
            ),
            Tls = s.Optional("tls", "TLS to the broker; an empty section is enough to switch it on.", Tls),
            KeepAliveSeconds = s.Whole(
                "keepAliveSeconds",
                "Keep-alive interval, s.",
                1,
                3_600,
                usual.KeepAliveSeconds
            ),
        };
        if (broker.PasswordFile is not null && broker.UserName is null)
            s.Refuse(
                "userName",
                "a user name where passwordFile is given",
                "Add userName, or remove passwordFile."
            );
        return broker;
    }

    private static MqttTlsSettings Tls(Section s)
    {
        MqttTlsSettings tls = new()
        {
            CaFile = s.OptionalText(
                "caFile",
                "PEM file of the authority the broker's certificate must chain to; the system's authorities where left out. Relative to this file.",
                TextRule.Any
            ),
            ClientCertificateFile = s.OptionalText(
                "clientCertificateFile",
                "PEM file of the client certificate. Relative to this file.",
                TextRule.Any
            ),
            ClientKeyFile = s.OptionalText(
                "clientKeyFile",
                "PEM file of the client certificate's key, relative to this file; or $CREDENTIALS_DIRECTORY/NAME for a credential that systemd hands over.",
                TextRule.Any
            ),
        };
        if (tls.ClientCertificateFile is null != tls.ClientKeyFile is null)
        {
            s.Refuse(
                tls.ClientKeyFile is null ? "clientKeyFile" : "clientCertificateFile",
                "both clientCertificateFile and clientKeyFile, or neither",
                "Name the PEM file of the other half as well."
            );
        }
        return tls;
    }
}
