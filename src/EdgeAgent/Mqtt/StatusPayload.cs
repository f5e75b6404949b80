using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>What the status topics carry: whether someone watches.</summary>
internal static class StatusPayload
{
    private static readonly string s_version =
        typeof(StatusPayload).Assembly.GetName().Version?.ToString(fieldCount: 3) ?? "";

    public static MessageShape<Status> AgentShape { get; } =
        Common(
                new MessageShape<Status>(
                    "agent-status",
                    "Whether the daemon runs and is connected. The last will says offline."
                ).Text("agent", "The daemon", status => status.Agent)
            )
            .OptionalMoment(
                "ts",
                "When it said so; null in a last will, which cannot know when it will be sent",
                status => status.Milliseconds
            )
            .Text("version", "Version of the program", _ => s_version);

    public static MessageShape<Status> MachineShape { get; } =
        Common(
                new MessageShape<Status>("status", "Whether a machine is watched, and by which daemon.").Text(
                    "machine",
                    "The machine",
                    status => status.Machine!
                )
            )
            .Moment("ts", "When it was said", status => status.Milliseconds!.Value)
            .Text("agent", "The daemon that watches it", status => status.Agent);

    /// <param name="milliseconds">ms since 1970-01-01 UTC; null in a last will, which cannot know when it will be sent.</param>
    public static byte[] OfAgent(string clientId, bool online, long? milliseconds) =>
        AgentShape.Of(new(null, clientId, online, milliseconds));

    public static byte[] OfMachine(MachinePlace place, string clientId, bool online, long milliseconds) =>
        MachineShape.Of(new(place.Machine, clientId, online, milliseconds));

    private static MessageShape<Status> Common(MessageShape<Status> shape) =>
        shape.OneOf(
            "status",
            "online while somebody watches",
            ["online", "offline"],
            status => status.Online ? "online" : "offline"
        );

    internal sealed record Status(string? Machine, string Agent, bool Online, long? Milliseconds);
}
