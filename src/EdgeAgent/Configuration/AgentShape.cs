namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>The configuration as a whole: where it runs, whom it tells, what it reads. The machines are <see cref="MachineShape"/>'s.</summary>
internal static class AgentShape
{
    private static readonly string[] s_drivers = ["ethernet-ip"];

    // Where the fallbacks stand: in the records, once.
    private static readonly ControllerSettings s_controller = new() { Name = "", Host = "" };
    private static readonly MqttSettings s_mqtt = new() { Host = "" };

    public static AgentSettings Read(Section s)
    {
        s.OptionalText("$schema", "Where editors find this schema.", TextRule.Any);
        IReadOnlyList<ControllerSettings> controllers = s.List(
            "controllers",
            "The controllers to read, each by one connection that its machines share.",
            UniqueByName<ControllerSettings>(Controller, controller => controller.Name)
        );
        return new AgentSettings
        {
            Site = s.Text("site", "Plant or site; a level of every topic.", TextRule.TopicWord),
            Area = s.Text("area", "Area or hall; a level of every topic.", TextRule.TopicWord),
            Mqtt = s.Optional("mqtt", "The broker that events and states go to.", Mqtt),
            Telemetry = s.OrEmpty("telemetry", "Where the daemon's own meters and traces go.", Telemetry),
            Controllers = controllers,
            Machines = s.List(
                "machines",
                "The machines to watch.",
                UniqueByName<WatchedMachineSettings>(
                    machine => MachineShape.Read(machine, controllers),
                    machine => machine.Name
                )
            ),
        };
    }

    private static ControllerSettings Controller(Section s) =>
        new()
        {
            Name = s.Text("name", "Name the machines refer to.", TextRule.TopicWord),
            Driver = s.Choice("driver", "How it is read.", s_drivers, s_controller.Driver),
            Host = s.Text("host", "Host name or address of its communication port.", TextRule.Host),
            Port = s.Whole("port", "TCP port.", 1, 65_535, s_controller.Port),
            Route = s.Text(
                "route",
                "Route from the communication port to the processor: pairs of port and link, e.g. 1,0 for slot 0; empty for none.",
                TextRule.Route,
                s_controller.Route
            ),
            PollMilliseconds = s.Whole(
                "pollMilliseconds",
                "Time from the start of one read to the start of the next, ms.",
                5,
                1_000,
                s_controller.PollMilliseconds
            ),
            TimeoutMilliseconds = s.Whole(
                "timeoutMilliseconds",
                "How long an answer is waited for, ms.",
                20,
                10_000,
                s_controller.TimeoutMilliseconds
            ),
            ReconnectMaximumMilliseconds = s.Whole(
                "reconnectMaximumMilliseconds",
                "Longest wait between two attempts to connect again, ms.",
                50,
                60_000,
                s_controller.ReconnectMaximumMilliseconds
            ),
        };

    private static MqttSettings Mqtt(Section s)
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
                "File whose first line is the password, e.g. a systemd credential. Relative to this file.",
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
            QueueLength = s.Whole(
                "queueEvents",
                "Events kept while the broker is away; beyond it the oldest are dropped and counted.",
                1,
                1_000_000,
                s_mqtt.QueueLength
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
                "PEM file of the client certificate's key. Relative to this file.",
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

    private static TelemetrySettings Telemetry(Section s) =>
        new()
        {
            OtlpEndpoint =
                s.OptionalText(
                    "otlpEndpoint",
                    "OTLP endpoint of a collector, e.g. http://192.0.2.5:4317; no export where left out.",
                    TextRule.HttpAddress
                )
                    is { } address
                && Uri.TryCreate(address, UriKind.Absolute, out Uri? endpoint)
                    ? endpoint
                    : null,
        };

    /// <summary>The shape, and a complaint at each name that was there before, letter case aside.</summary>
    private static Func<Section, T> UniqueByName<T>(Func<Section, T> shape, Func<T, string> nameOf)
    {
        HashSet<string> seen = new(StringComparer.OrdinalIgnoreCase);
        return s =>
        {
            T value = shape(s);
            if (nameOf(value) is { Length: > 0 } name && !seen.Add(name))
                s.Refuse("name", "a name no other has, letter case aside", "Give each its own.");
            return value;
        };
    }
}
