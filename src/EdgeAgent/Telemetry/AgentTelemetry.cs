using System.Diagnostics;
using System.Diagnostics.Metrics;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Polling;

namespace Dancerwatch.EdgeAgent.Telemetry;

/// <summary>
/// The daemon's own meters and traces, all named <see cref="Name"/>. Costs next to nothing, and allocates nothing, where
/// nobody listens; a poll allocates nothing where its trace is not sampled.
/// </summary>
public sealed class AgentTelemetry : IPollObserver, IPublishObserver, IDisposable
{
    /// <summary>Name of the meter and of the activity source.</summary>
    public const string Name = "EdgeAgent";

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

    private readonly AgentTraces _traces;
    private readonly Counter<long> _polls;
    private readonly Histogram<double> _pollDuration;
    private readonly Histogram<double> _pollLateness;
    private readonly Counter<long> _pollsMissed;
    private readonly Counter<long> _readErrors;
    private readonly Counter<long> _sinkFailures;
    private readonly Histogram<double> _eventDelay;
    private long _eventsPublished;
    private long _statesPublished;
    private long _publishesRefused;
    private int _connected;

    internal Meter Meter { get; } = new(Name);

    internal ActivitySource Activities => _traces.Activities;

    /// <summary>Whether the broker is connected.</summary>
    public bool IsBrokerConnected => Volatile.Read(ref _connected) == 1;

    /// <param name="clock">The clock of polls and events.</param>
    public AgentTelemetry(MonotonicClock clock)
    {
        _traces = new AgentTraces(clock);
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
        Meter.Watch(outbox);
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
        _traces.Polled(controller, times);
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
        _traces.Published(id, known);
    }

    public void StatesPublished(int count) => Interlocked.Add(ref _statesPublished, count);

    public void PublishRefused() => Interlocked.Increment(ref _publishesRefused);

    public void Dispose()
    {
        Meter.Dispose();
        _traces.Dispose();
    }

    private void CountPoll(string controller, PollOutcome outcome, long count) =>
        _polls.Add(count, Which(controller), new KeyValuePair<string, object?>("outcome", Code(outcome)));

    internal static KeyValuePair<string, object?> Which(string controller) => new("controller", controller);

    private static string Code(PollOutcome outcome) =>
        outcome switch
        {
            PollOutcome.Complete => "complete",
            PollOutcome.Partial => "partial",
            _ => "failed",
        };
}
