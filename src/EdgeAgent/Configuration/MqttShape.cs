namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>The broker that events and states go to.</summary>
internal static class MqttShape
{
    // Where the fallbacks stand: in the record, once.
    private static readonly MqttSettings s_mqtt = new() { Host = "" };

    public static MqttSettings Read(Section s)
    {
        s.Forbid(
            "password",
            "never a password in this file, which people copy and mail",
            "Put it into a file of its own and name that under passwordFile."
        );
        MqttSettings mqtt = new()
        {
            Host = s.Text("host", "Host name or address of the broker.", TextRule.Host),
            Port = s.Whole(
                "port",
                "TCP port; by custom 1883 without TLS, 8883 with.",
                1,
                65_535,
                s_mqtt.Port
            ),
            ClientId = s.Text(
                "clientId",
                "Client identifier; each client of a broker needs its own.",
                TextRule.TopicWord,
                s_mqtt.ClientId
            ),
            TopicPrefix = s.Text(
                "topicPrefix",
                "What every topic starts with.",
                TextRule.TopicPrefix,
                s_mqtt.TopicPrefix
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
                s_mqtt.KeepAliveSeconds
            ),
            EventExpirySeconds = s.Whole(
                "eventExpirySeconds",
                "How long the broker keeps an event for a client that is away, s.",
                1,
                31_536_000,
                s_mqtt.EventExpirySeconds
            ),
            StateIntervalSeconds = s.Number(
                "stateIntervalSeconds",
                "Time between two publishes of the retained states, s.",
                0.1,
                3_600,
                s_mqtt.StateIntervalSeconds
            ),
        };
        if (mqtt.PasswordFile is not null && mqtt.UserName is null)
            s.Refuse(
                "userName",
                "a user name where passwordFile is given",
                "Add userName, or remove passwordFile."
            );
        return mqtt;
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
