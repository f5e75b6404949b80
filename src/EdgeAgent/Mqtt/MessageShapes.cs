using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Watching.Payloads;

namespace Dancerwatch.EdgeAgent.Mqtt;

/// <summary>Every kind of message the daemon publishes. docs/asyncapi.yaml says on which topic.</summary>
internal static class MessageShapes
{
    public static IReadOnlyList<IMessageShape> All { get; } =
    [
        EventPayload.Shape,
        LossPayload.Shape,
        .. StatePayloads.All.Select(state => state.Shape),
        StatusPayload.MachineShape,
        StatusPayload.AgentShape,
    ];
}
