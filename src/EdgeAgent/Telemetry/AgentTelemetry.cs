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

    /// <summary>A poll of a controller: by itself, or as the beginning of an event's trace.</summary>
    public const string PollActivity = "poll";

    /// <summary>An event, from the poll that decided to the broker's acknowledgement. The root of its trace.</summary>
    public const string EventActivity = "event";

    /// <summary>From the poll's end until the event is sent: it is judged, and waits in the outbox.</summary>
    public const string OutboxActivity = "outbox";

    /// <summary>From the first sending to the acknowledgement.</summary>
    public const string PublishActivity = "publish";

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

    /// <summary>Of so many polls one is traced by itself: at 50 a second all of them would drown a collector.</summary>
    private const int PollsATrace = 500;

    private readonly MonotonicClock _clock;
    private readonly RecentPolls _recentPolls = new();
    private readonly Counter<long> _polls;
    private readonly Histogram<double> _pollDuration;
    private readonly Histogram<double> _pollLateness;
    private readonly Counter<long> _pollsMissed;
    private readonly Counter<long> _readErrors;
    private readonly Counter<long> _sinkFailures;
    private readonly Histogram<double> _eventDelay;
    private long _pollsSeen;
    private long _eventsPublished;
    private long _statesPublished;
    private long _publishesRefused;
    private int _connected;

    internal Meter Meter { get; } = new(Name);

    internal ActivitySource Activities { get; } = new(Name);

    /// <summary>Whether the broker is connected.</summary>
    public bool IsBrokerConnected => Volatile.Read(ref _connected) == 1;

    /// <param name="clock">The clock of polls and events.</param>
    public AgentTelemetry(MonotonicClock clock)
    {
        _clock = clock;
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
        _eventDelay = Meter.CreateHistogram(
            "edgeagent.event.delay",
            "s",
            "From the reading that decided to the broker's acknowledgement.",
            tags: null,
            s_buckets
        );
    }

    /// <summary>Has measured how it goes with the broker, what waits for it, and what became of what does no more.</summary>
    public void Watch(EventOutbox outbox)
    {
        Meter.CreateObservableCounter(
            "edgeagent.events.published",
            () => Interlocked.Read(ref _eventsPublished),
            "{event}",
            "Events the broker acknowledged."
        );
        Meter.CreateObservableCounter(
            "edgeagent.states.published",
            () => Interlocked.Read(ref _statesPublished),
            "{state}",
            "States the broker acknowledged."
        );
        Meter.CreateObservableCounter(
            "edgeagent.publishes.refused",
            () => Interlocked.Read(ref _publishesRefused),
            "{message}",
            "Messages the broker refused."
        );
        Meter.CreateObservableGauge(
            "edgeagent.broker.connected",
            () => Volatile.Read(ref _connected),
            description: "1 while the broker is connected, else 0."
        );
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

    /// <summary>What has not happened yet is told as 0: from nothing to one, a rate would see no rise.</summary>
    public void PollingBegins(string controller)
    {
        foreach (PollOutcome outcome in Enum.GetValues<PollOutcome>())
            CountPoll(controller, outcome, 0);
        PollsMissed(controller, 0);
        ReadErrors(controller, 0);
        _sinkFailures.Add(0, Which(controller));
    }

    public void PollCompleted(string controller, in PollTimes times, PollOutcome outcome)
    {
        CountPoll(controller, outcome, 1);
        _pollDuration.Record(times.Duration.TotalSeconds, Which(controller));
        _pollLateness.Record(times.Lateness.TotalSeconds, Which(controller));
        if (!Activities.HasListeners())
            return;
        _recentPolls.Note(controller, times);
        // Chosen here: even to ask whether anybody wants a trace allocates.
        if (Interlocked.Increment(ref _pollsSeen) % PollsATrace == 0)
            Trace(PollActivity, times.Start, times.End, default, Which(controller));
    }

    public void PollsMissed(string controller, long count) => _pollsMissed.Add(count, Which(controller));

    public void ReadErrors(string controller, int count) => _readErrors.Add(count, Which(controller));

    public void SinkFailed(string controller) => _sinkFailures.Add(1, Which(controller));

    public void BrokerConnected(bool connected) => Volatile.Write(ref _connected, connected ? 1 : 0);

    public void EventPublished(string id, EventTimes? times)
    {
        Interlocked.Increment(ref _eventsPublished);
        if (times is not { } known)
            return;
        _eventDelay.Record(TimeSpan.FromTicks(known.Acknowledged - known.Reading).TotalSeconds);
        if (Activities.HasListeners())
            Trace(id, known);
    }

    public void StatesPublished(int count) => Interlocked.Add(ref _statesPublished, count);

    public void PublishRefused() => Interlocked.Increment(ref _publishesRefused);

    public void Dispose()
    {
        Meter.Dispose();
        Activities.Dispose();
    }

    /// <summary>The whole way of an event, told when it has been gone: on the way nothing is carried along for it.</summary>
    private void Trace(string id, in EventTimes times)
    {
        (string Controller, PollTimes Times)? poll = _recentPolls.Find(times.Reading);
        long start = poll?.Times.Start ?? times.Reading;
        using Activity? whole = Begun(EventActivity, start, default);
        if (whole is null)
            return;
        whole.SetTag("event.id", id);
        if (poll is (string controller, PollTimes polled))
            Trace(PollActivity, polled.Start, polled.End, whole.Context, Which(controller));
        Trace(OutboxActivity, poll?.Times.End ?? times.Reading, times.Offered, whole.Context);
        Trace(PublishActivity, times.Offered, times.Acknowledged, whole.Context);
        whole.SetEndTime(Utc(times.Acknowledged));
    }

    /// <summary>Traces what is over, where it is sampled.</summary>
    private void Trace(
        string name,
        long start,
        long end,
        ActivityContext parent,
        KeyValuePair<string, object?>? tag = null
    )
    {
        using Activity? activity = Begun(name, start, parent);
        if (tag is { } known)
            activity?.SetTag(known.Key, known.Value);
        activity?.SetEndTime(Utc(end));
    }

    private Activity? Begun(string name, long start, ActivityContext parent) =>
        Activities.StartActivity(name, KindOf(name), parent, startTime: _clock.ToWallClock(start));

    private static ActivityKind KindOf(string name) =>
        name switch
        {
            PollActivity => ActivityKind.Client,
            PublishActivity => ActivityKind.Producer,
            _ => ActivityKind.Internal,
        };

    private DateTime Utc(long ticks) => _clock.ToWallClock(ticks).UtcDateTime;

    private void CountPoll(string controller, PollOutcome outcome, long count) =>
        _polls.Add(count, Which(controller), new KeyValuePair<string, object?>("outcome", Code(outcome)));

    private static KeyValuePair<string, object?> Which(string controller) => new("controller", controller);

    private static string Code(PollOutcome outcome) =>
        outcome switch
        {
            PollOutcome.Complete => "complete",
            PollOutcome.Partial => "partial",
            _ => "failed",
        };
}
