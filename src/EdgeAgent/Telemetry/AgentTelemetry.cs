using System.Diagnostics;
using System.Diagnostics.Metrics;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Mqtt.Sparkplug;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Polling;
using Dancerwatch.EdgeAgent.Recording;
using Dancerwatch.EdgeAgent.Snapshots;

namespace Dancerwatch.EdgeAgent.Telemetry;

/// <summary>
/// The daemon's own meters and traces, all named <see cref="Name"/>. Costs next to nothing, and allocates nothing, where
/// nobody listens; a poll allocates nothing where its trace is not sampled.
/// </summary>
public sealed class AgentTelemetry : IPollObserver, IPublishObserver, IDisposable
{
    /// <summary>Name of the meter and of the activity source.</summary>
    public const string Name = "EdgeAgent";

    /// <summary>Names of the two kinds of activity.</summary>
    public const string PollActivity = "poll";

    /// <inheritdoc cref="PollActivity"/>
    public const string EventActivity = "event";

    // Seconds. Polls are built for 20 ms and lateness for 0.15 ms, so the buckets are finest there.
    private static readonly InstrumentAdvice<double> s_buckets = new()
    {
        HistogramBucketBoundaries =
        [
            0.000_05,
            0.000_15,
            0.000_5,
            0.001,
            0.002,
            0.005,
            0.01,
            0.02,
            0.05,
            0.1,
            0.25,
            0.5,
            1,
            5,
        ],
    };

    private readonly TimeProvider _time;
    private readonly ActivitySource _activities = new(Name);
    private readonly Counter<long> _polls;
    private readonly Histogram<double> _pollDuration;
    private readonly Histogram<double> _pollLateness;
    private readonly Counter<long> _pollsMissed;
    private readonly Counter<long> _readErrors;
    private readonly Counter<long> _sinkFailures;
    private readonly Counter<long> _eventsPublished;
    private readonly Histogram<double> _eventDelay;
    private readonly Counter<long> _statesPublished;
    private readonly Counter<long> _publishesRefused;
    private int _connected;

    internal Meter Meter { get; } = new(Name);

    /// <summary>Whether the broker is connected.</summary>
    public bool IsBrokerConnected => Volatile.Read(ref _connected) == 1;

    /// <param name="time">Its wall clock stamps activities.</param>
    public AgentTelemetry(TimeProvider time)
    {
        _time = time;
        _polls = Meter.CreateCounter<long>(
            "edgeagent.polls",
            "{poll}",
            "Polls of a controller, by what they brought."
        );
        _pollDuration = Meter.CreateHistogram(
            "edgeagent.poll.duration",
            "s",
            "From the start of a poll to its last answer, or to giving up.",
            tags: null,
            s_buckets
        );
        _pollLateness = Meter.CreateHistogram(
            "edgeagent.poll.lateness",
            "s",
            "From a poll's deadline to its start.",
            tags: null,
            s_buckets
        );
        _pollsMissed = Meter.CreateCounter<long>(
            "edgeagent.polls.missed",
            "{poll}",
            "Deadlines that passed while an earlier poll was still under way."
        );
        _readErrors = Meter.CreateCounter<long>("edgeagent.read.errors", "{tag}", "Tags that were not read.");
        _sinkFailures = Meter.CreateCounter<long>(
            "edgeagent.watch.failures",
            "{reading}",
            "Readings a watch or a recording failed on."
        );
        _eventsPublished = Meter.CreateCounter<long>(
            "edgeagent.events.published",
            "{event}",
            "Events the broker acknowledged."
        );
        _eventDelay = Meter.CreateHistogram(
            "edgeagent.event.delay",
            "s",
            "From the reading that decided to the broker's acknowledgement.",
            tags: null,
            s_buckets
        );
        _statesPublished = Meter.CreateCounter<long>(
            "edgeagent.states.published",
            "{state}",
            "States the broker acknowledged."
        );
        _publishesRefused = Meter.CreateCounter<long>(
            "edgeagent.publishes.refused",
            "{message}",
            "Messages the broker refused."
        );
        Meter.CreateObservableGauge(
            "edgeagent.broker.connected",
            () => Volatile.Read(ref _connected),
            description: "1 while the broker is connected, else 0."
        );
    }

    /// <summary>Has measured what waits in the outbox, and what became of what does no more.</summary>
    public void Watch(EventOutbox outbox)
    {
        Meter.CreateObservableGauge(
            "edgeagent.events.waiting",
            () => outbox.Waiting,
            "{event}",
            "Events that wait for the broker."
        );
        Meter.CreateObservableGauge(
            "edgeagent.events.unwritten",
            () => outbox.Unwritten,
            "{event}",
            "Those of them that are in memory only; many where the disk takes nothing."
        );
        Meter.CreateObservableCounter(
            "edgeagent.events.lost",
            () => outbox.Lost,
            "{event}",
            "Events that will not arrive: too many waited, the disk damaged them, or the broker rejected them."
        );
        Meter.CreateObservableCounter(
            "edgeagent.events.rejected",
            () => outbox.Rejected,
            "{event}",
            "Those of them that the broker rejected."
        );
        Meter.CreateObservableGauge(
            "edgeagent.outbox.size",
            () => outbox.Bytes,
            "By",
            "Space that waiting events take on disk."
        );
        Meter.CreateObservableCounter(
            "edgeagent.outbox.damages",
            () => outbox.Damages,
            "{damage}",
            "Stretches of bytes on disk that were not as they had been written."
        );
    }

    /// <summary>Has measured what the Sparkplug node says and hears, and what waits in its outbox.</summary>
    internal void Watch(NodeCounters node, EventOutbox outbox)
    {
        Meter.CreateObservableGauge(
            "edgeagent.sparkplug.events.waiting",
            () => outbox.Waiting,
            "{event}",
            "Events that wait for the Sparkplug node's broker or primary host."
        );
        Meter.CreateObservableGauge(
            "edgeagent.sparkplug.connected",
            () => node.IsConnected ? 1 : 0,
            description: "1 while the Sparkplug node is connected to its broker, else 0."
        );
        Meter.CreateObservableCounter(
            "edgeagent.sparkplug.messages",
            () => node.Messages,
            "{message}",
            "Messages of the Sparkplug node: births, data and deaths."
        );
        Meter.CreateObservableCounter(
            "edgeagent.sparkplug.events",
            () => node.Events,
            "{event}",
            "Events that the Sparkplug node's broker has read."
        );
        Meter.CreateObservableCounter(
            "edgeagent.sparkplug.births",
            () => node.Births,
            "{birth}",
            "Births of the Sparkplug node: one a connection, and one more for each request that was let through."
        );
        Meter.CreateObservableCounter(
            "edgeagent.sparkplug.messages.refused",
            () => node.NotTaken,
            "{message}",
            "Messages longer than the Sparkplug node's broker takes."
        );
        Meter.CreateObservableCounter(
            "edgeagent.sparkplug.rebirths.refused",
            () => node.RebirthsRefused,
            "{request}",
            "Requests for births that came too often."
        );
        Meter.CreateObservableCounter(
            "edgeagent.sparkplug.commands.ignored",
            () => node.CommandsIgnored,
            "{message}",
            "What came to the Sparkplug node and is no command it has."
        );
    }

    internal void Watch(MachineSnapshots snapshots)
    {
        Meter.CreateObservableCounter(
            "edgeagent.snapshots.saved",
            () => snapshots.Saved,
            "{snapshot}",
            "Snapshots of a machine's memory that were written."
        );
        Meter.CreateObservableCounter(
            "edgeagent.snapshots.failed",
            () => snapshots.Failed,
            "{snapshot}",
            "Snapshots that could not be written."
        );
        Meter.CreateObservableCounter(
            "edgeagent.snapshots.set_aside",
            () => snapshots.SetAside,
            "{snapshot}",
            "Snapshots that were of no use at the start: broken, of another version or configuration."
        );
        Meter.CreateObservableCounter(
            "edgeagent.snapshots.written",
            () => snapshots.Written,
            "By",
            "Bytes of snapshots written: what the disk wears by."
        );
        Meter.CreateObservableGauge(
            "edgeagent.snapshots.size",
            () => snapshots.Bytes,
            "By",
            "Space that the machines' snapshots take on disk."
        );
    }

    /// <summary>Has measured what is recorded, what is not, and the space it takes.</summary>
    public void Watch(Recorder recorder)
    {
        Meter.CreateObservableCounter(
            "edgeagent.recording.readings",
            () => recorder.Recorded,
            "{reading}",
            "Readings in the recording."
        );
        Meter.CreateObservableCounter(
            "edgeagent.recording.dropped",
            () => recorder.Dropped,
            "{reading}",
            "Readings that are not: the disk was too slow or took nothing."
        );
        Meter.CreateObservableGauge(
            "edgeagent.recording.size",
            () => recorder.RingBytes + recorder.BlackBoxBytes,
            "By",
            "Space that recordings take on disk."
        );
    }

    public void PollCompleted(string controller, TimeSpan lateness, TimeSpan duration, PollOutcome outcome)
    {
        KeyValuePair<string, object?> which = new("controller", controller);
        _polls.Add(1, which, new KeyValuePair<string, object?>("outcome", Code(outcome)));
        _pollDuration.Record(duration.TotalSeconds, which);
        _pollLateness.Record(lateness.TotalSeconds, which);
        if (_activities.HasListeners())
            Trace(PollActivity, duration, which);
    }

    public void PollsMissed(string controller, long count) =>
        _pollsMissed.Add(count, new KeyValuePair<string, object?>("controller", controller));

    public void ReadErrors(string controller, int count) =>
        _readErrors.Add(count, new KeyValuePair<string, object?>("controller", controller));

    public void SinkFailed(string controller) =>
        _sinkFailures.Add(1, new KeyValuePair<string, object?>("controller", controller));

    public void BrokerConnected(bool connected) => Volatile.Write(ref _connected, connected ? 1 : 0);

    public void EventPublished(TimeSpan? age)
    {
        _eventsPublished.Add(1);
        if (age is not { } known)
            return;
        _eventDelay.Record(known.TotalSeconds);
        if (_activities.HasListeners())
            Trace(EventActivity, known);
    }

    public void StatesPublished(int count) => _statesPublished.Add(count);

    public void PublishRefused() => _publishesRefused.Add(1);

    public void Dispose()
    {
        Meter.Dispose();
        _activities.Dispose();
    }

    /// <summary>Traces what has just ended and took <paramref name="duration"/>, where it is sampled.</summary>
    private void Trace(string name, TimeSpan duration, KeyValuePair<string, object?>? tag = null)
    {
        DateTimeOffset end = _time.GetUtcNow();
        using Activity? activity = _activities.StartActivity(
            name,
            ActivityKind.Client,
            parentContext: default,
            startTime: end - duration
        );
        if (tag is { } known)
            activity?.SetTag(known.Key, known.Value);
        activity?.SetEndTime(end.UtcDateTime);
    }

    private static string Code(PollOutcome outcome) =>
        outcome switch
        {
            PollOutcome.Complete => "complete",
            PollOutcome.Partial => "partial",
            _ => "failed",
        };
}
