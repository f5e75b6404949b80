using System.Diagnostics.Metrics;
using Dancerwatch.EdgeAgent.Mqtt.Sparkplug;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.EdgeAgent.Snapshots;

namespace Dancerwatch.EdgeAgent.Telemetry;

/// <summary>Meters of what the daemon's parts count themselves: asked when somebody looks, they cost nothing in between.</summary>
internal static class PartMeters
{
    /// <summary>What waits for the broker, and what became of what does no more.</summary>
    public static void Watch(this Meter meter, EventOutbox outbox)
    {
        meter.CreateObservableGauge(
            "edgeagent.events.waiting",
            () => outbox.Waiting,
            "{event}",
            "Events that wait for the broker."
        );
        meter.CreateObservableGauge(
            "edgeagent.events.unwritten",
            () => outbox.Unwritten,
            "{event}",
            "Those of them that are in memory only; many where the disk takes nothing."
        );
        meter.CreateObservableCounter(
            "edgeagent.events.lost",
            () => outbox.Lost,
            "{event}",
            "Events that will not arrive: too many waited, the disk damaged them, or the broker rejected them."
        );
        meter.CreateObservableCounter(
            "edgeagent.events.rejected",
            () => outbox.Rejected,
            "{event}",
            "Those of them that the broker rejected."
        );
        meter.CreateObservableGauge(
            "edgeagent.outbox.size",
            () => outbox.Bytes,
            "By",
            "Space that waiting events take on disk."
        );
        meter.CreateObservableCounter(
            "edgeagent.outbox.damages",
            () => outbox.Damages,
            "{damage}",
            "Stretches of bytes on disk that were not as they had been written."
        );
    }

    /// <summary>What the Sparkplug node says and hears, and what waits in its outbox.</summary>
    public static void Watch(this Meter meter, NodeCounters node, EventOutbox outbox)
    {
        meter.CreateObservableGauge(
            "edgeagent.sparkplug.events.waiting",
            () => outbox.Waiting,
            "{event}",
            "Events that wait for the Sparkplug node's broker or primary host."
        );
        meter.CreateObservableGauge(
            "edgeagent.sparkplug.connected",
            () => node.IsConnected ? 1 : 0,
            description: "1 while the Sparkplug node is connected to its broker, else 0."
        );
        meter.CreateObservableCounter(
            "edgeagent.sparkplug.messages",
            () => node.Messages,
            "{message}",
            "Messages of the Sparkplug node: births, data and deaths."
        );
        meter.CreateObservableCounter(
            "edgeagent.sparkplug.events",
            () => node.Events,
            "{event}",
            "Events that the Sparkplug node's broker has read."
        );
        meter.CreateObservableCounter(
            "edgeagent.sparkplug.births",
            () => node.Births,
            "{birth}",
            "Births of the Sparkplug node: one a connection, and one more for each request that was let through."
        );
        meter.CreateObservableCounter(
            "edgeagent.sparkplug.messages.refused",
            () => node.NotTaken,
            "{message}",
            "Messages longer than the Sparkplug node's broker takes."
        );
        meter.CreateObservableCounter(
            "edgeagent.sparkplug.rebirths.refused",
            () => node.RebirthsRefused,
            "{request}",
            "Requests for births that came too often."
        );
        meter.CreateObservableCounter(
            "edgeagent.sparkplug.commands.ignored",
            () => node.CommandsIgnored,
            "{message}",
            "What came to the Sparkplug node and is no command it has."
        );
    }

    /// <summary>What is kept of the machines' memory.</summary>
    public static void Watch(this Meter meter, MachineSnapshots snapshots)
    {
        meter.CreateObservableCounter(
            "edgeagent.snapshots.saved",
            () => snapshots.Saved,
            "{snapshot}",
            "Snapshots of a machine's memory that were written."
        );
        meter.CreateObservableCounter(
            "edgeagent.snapshots.failed",
            () => snapshots.Failed,
            "{snapshot}",
            "Snapshots that could not be written."
        );
        meter.CreateObservableCounter(
            "edgeagent.snapshots.set_aside",
            () => snapshots.SetAside,
            "{snapshot}",
            "Snapshots that were of no use at the start: broken, of another version or configuration."
        );
        meter.CreateObservableCounter(
            "edgeagent.snapshots.written",
            () => snapshots.Written,
            "By",
            "Bytes of snapshots written: what the disk wears by."
        );
        meter.CreateObservableGauge(
            "edgeagent.snapshots.size",
            () => snapshots.Bytes,
            "By",
            "Space that the machines' snapshots take on disk."
        );
    }

    /// <summary>What is recorded, what is not, and the space it takes.</summary>
    public static void Watch(this Meter meter, Recorder recorder)
    {
        meter.CreateObservableCounter(
            "edgeagent.recording.readings",
            () => recorder.Recorded,
            "{reading}",
            "Readings in the recording."
        );
        meter.CreateObservableCounter(
            "edgeagent.recording.dropped",
            () => recorder.Dropped,
            "{reading}",
            "Readings that are not: the disk was too slow or took nothing."
        );
        meter.CreateObservableGauge(
            "edgeagent.recording.size",
            () => recorder.RingBytes + recorder.BlackBoxBytes,
            "By",
            "Space that recordings take on disk."
        );
    }
}
