namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>The configuration as a whole: where it runs, what it keeps, what it reads. The broker is <see cref="MqttShape"/>'s, the machines are <see cref="MachineShape"/>'s.</summary>
internal static class AgentShape
{
    private static readonly string[] s_drivers = ["ethernet-ip", "libplctag"];

    // Where the fallbacks stand: in the records, once.
    private static readonly ControllerSettings s_controller = new() { Name = "", Host = "" };
    private static readonly OutboxSettings s_outbox = new();

    public static AgentSettings Read(Section s)
    {
        s.OptionalText("$schema", "Where editors find this schema.", TextRule.Any);
        IReadOnlyList<ControllerSettings> controllers = s.List(
            "controllers",
            "The controllers to read, each by one connection that its machines share.",
            UniqueByName<ControllerSettings>(Controller, controller => controller.Name)
        );
        MqttSettings? mqtt = null;
        return new AgentSettings
        {
            Site = s.Text("site", "Plant or site; a level of every topic.", TextRule.TopicWord),
            Area = s.Text("area", "Area or hall; a level of every topic.", TextRule.TopicWord),
            Mqtt = mqtt = s.Optional("mqtt", "The broker that events and states go to.", MqttShape.Read),
            Sparkplug = s.Optional(
                "sparkplug",
                "A broker at which this daemon is a Sparkplug B edge node with a device for each machine. Off where left out.",
                node => SparkplugShape.Read(node, mqtt)
            ),
            StateDirectory = s.OptionalText(
                "stateDirectory",
                "Directory for what must survive a restart. Left out: the one systemd gives the service, else nothing survives. Relative to this file.",
                TextRule.Any
            ),
            Outbox = s.OrEmpty("outbox", "Events that wait for the broker.", Outbox),
            Recordings = s.OrEmpty(
                "recordings",
                "Readings kept on disk: a ring of all of them, and a black box of those around warnings and trips.",
                RecordingShape.Read
            ),
            Telemetry = s.OrEmpty("telemetry", "Where the daemon's own meters and traces go.", Telemetry),
            StatusPage = s.OrEmpty(
                "statusPage",
                "A page that shows how the machines are, for a browser. Off where left out; reads only.",
                StatusPageShape.Read
            ),
            Controllers = controllers,
            Machines = s.ListOfTemplates(
                "machines",
                "The machines to watch.",
                "templates",
                "What machines that are alike have in common, by a name that machines refer to. {number} in a text stands for the digits at the end of a machine's name, {name} for its name, and other words in braces for what a machine says under with.",
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
            Driver = s.Choice(
                "driver",
                "How it is read: by the driver built in, or by the native library libplctag where it is installed.",
                s_drivers,
                s_controller.Driver
            ),
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

    private static OutboxSettings Outbox(Section s) =>
        new()
        {
            MaximumMegabytes = s.Whole(
                "maximumMegabytes",
                "Space that events waiting for the broker may take in stateDirectory, MB; beyond it the oldest are deleted and told as lost.",
                1,
                1_000,
                s_outbox.MaximumMegabytes
            ),
            MemoryEvents = s.Whole(
                "memoryEvents",
                "Events kept in memory while the disk does not take them, or all that wait where there is no stateDirectory; beyond it the oldest are dropped and told as lost.",
                1,
                1_000_000,
                s_outbox.MemoryEvents
            ),
        };

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
