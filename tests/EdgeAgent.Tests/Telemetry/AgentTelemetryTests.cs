using System.Diagnostics;
using System.Diagnostics.Metrics;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Polling;
using Dancerwatch.EdgeAgent.Telemetry;
using Dancerwatch.EdgeAgent.Tests.Outbox;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Microsoft.Extensions.Time.Testing;

namespace Dancerwatch.EdgeAgent.Tests.Telemetry;

public sealed class AgentTelemetryTests : IDisposable
{
    private readonly FakeTimeProvider _time = new();
    private readonly MonotonicClock _clock;
    private readonly AgentTelemetry _telemetry;

    public AgentTelemetryTests()
    {
        _clock = new MonotonicClock(_time);
        _telemetry = new AgentTelemetry(_clock);
    }

    [Fact]
    public void A_poll_allocates_nothing_where_nobody_listens() => AssertNothingAllocated();

    [Fact]
    public void A_poll_allocates_nothing_while_meters_are_collected()
    {
        double sum = 0;
        using MeterListener listener = Listening();
        listener.SetMeasurementEventCallback<double>((_, value, _, _) => sum += value);
        listener.SetMeasurementEventCallback<long>((_, value, _, _) => sum += value);
        listener.Start();

        AssertNothingAllocated();

        Assert.NotEqual(0, sum);
    }

    [Fact]
    public void A_poll_is_counted_by_controller_and_outcome_and_timed_in_seconds()
    {
        List<(string Name, double Value, string Tags)> seen = [];
        using MeterListener listener = Listener((name, value, tags) => seen.Add((name, value, tags)));

        _telemetry.PollCompleted(
            "packing-a",
            new PollTimes(Due: 0, Start: 1_200, Reading: 20_000, End: 31_200),
            PollOutcome.Partial
        );

        Assert.Contains(("edgeagent.polls", 1.0, "controller=packing-a,outcome=partial"), seen);
        Assert.Contains(("edgeagent.poll.duration", 0.003, "controller=packing-a"), seen);
        Assert.Contains(("edgeagent.poll.lateness", 0.00012, "controller=packing-a"), seen);
    }

    [Fact]
    public async Task What_waits_and_what_is_lost_is_the_outboxs()
    {
        Dictionary<string, double> seen = [];
        using MeterListener listener = Listener((name, value, _) => seen[name] = value);
        await using EventOutbox outbox = Outboxes.InMemory(capacity: 2, _time);
        _telemetry.Watch(outbox);
        for (int i = 0; i < 5; i++)
            outbox.Raise(Machines.Event(Machines.LimitApproach));

        // Seen to be missing by whoever asks for the next.
        await outbox.PeekAsync(TestContext.Current.CancellationToken);

        listener.RecordObservableInstruments();

        Assert.Equal(2, seen["edgeagent.events.waiting"]);
        Assert.Equal(3, seen["edgeagent.events.lost"]);
        Assert.Equal(0, seen["edgeagent.events.rejected"]);
    }

    [Fact]
    public void What_has_not_happened_to_a_controller_yet_is_told_as_0()
    {
        List<(string Name, double Value, string Tags)> seen = [];
        using MeterListener listener = Listener((name, value, tags) => seen.Add((name, value, tags)));

        _telemetry.PollingBegins("packing-a");

        Assert.Equal(
            [
                ("edgeagent.polls", 0.0, "controller=packing-a,outcome=complete"),
                ("edgeagent.polls", 0.0, "controller=packing-a,outcome=failed"),
                ("edgeagent.polls", 0.0, "controller=packing-a,outcome=partial"),
                ("edgeagent.polls.missed", 0.0, "controller=packing-a"),
                ("edgeagent.read.errors", 0.0, "controller=packing-a"),
                ("edgeagent.watch.failures", 0.0, "controller=packing-a"),
            ],
            seen.Order()
        );
    }

    [Fact]
    public void The_trace_of_an_event_goes_from_the_start_of_its_poll_to_the_acknowledgement()
    {
        using Tracing tracing = new(_telemetry);
        _telemetry.PollCompleted("packing-a", new PollTimes(0, 1_000, 20_000, 31_000), PollOutcome.Complete);
        _telemetry.PollCompleted("packing-b", new PollTimes(0, 1_500, 21_000, 32_000), PollOutcome.Complete);
        tracing.Ended.Clear();

        _telemetry.EventPublished(
            "tea-1:limit-approach:1795595400250:0",
            new EventTimes(Reading: 20_000, Offered: 40_000, Acknowledged: 55_000)
        );

        Activity whole = tracing.Ended.Single(activity => activity.ParentSpanId == default);
        Assert.Equal("tea-1:limit-approach:1795595400250:0", whole.GetTagItem("event.id"));
        Assert.All(tracing.Ended, activity => Assert.Equal(whole.TraceId, activity.TraceId));
        Assert.Equal(
            [
                (AgentTraces.PollActivity, 1_000, 31_000),
                (AgentTraces.OutboxActivity, 31_000, 40_000),
                (AgentTraces.PublishActivity, 40_000, 55_000),
                (AgentTraces.EventActivity, 1_000, 55_000),
            ],
            tracing.Ended.Select(activity => (activity.OperationName, Ticks(activity), End(activity)))
        );
        Assert.Equal(
            "packing-a",
            tracing
                .Ended.Single(activity => activity.OperationName == AgentTraces.PollActivity)
                .GetTagItem("controller")
        );
    }

    [Fact]
    public void The_trace_of_an_event_whose_poll_is_long_ago_begins_with_its_reading()
    {
        using Tracing tracing = new(_telemetry);
        for (int poll = 0; poll < 2_000; poll++)
            _telemetry.PollCompleted(
                "packing-a",
                new PollTimes(poll, poll, poll, poll),
                PollOutcome.Complete
            );
        tracing.Ended.Clear();

        _telemetry.EventPublished("tea-1:margin-low:1:0", new EventTimes(7, 40_000, 55_000));

        Assert.Equal(
            [AgentTraces.OutboxActivity, AgentTraces.PublishActivity, AgentTraces.EventActivity],
            tracing.Ended.Select(activity => activity.OperationName)
        );
        Assert.Equal(7, Ticks(tracing.Ended[^1]));
    }

    [Fact]
    public void One_poll_in_500_is_traced_by_itself_and_the_others_allocate_nothing()
    {
        using Tracing tracing = new(_telemetry);
        Poll();

        // In a round of 400 there is one that is traced, or none.
        long allocated = Allocated.Bytes(_ => Poll(400));

        Assert.Equal(0, allocated);
        Assert.Equal(2_001 / 500, tracing.Ended.Count);
        Assert.All(tracing.Ended, activity => Assert.Equal(AgentTraces.PollActivity, activity.OperationName));
    }

    private long Ticks(Activity activity) => activity.StartTimeUtc.Ticks - _clock.ToWallClock(0).UtcTicks;

    private long End(Activity activity) => Ticks(activity) + activity.Duration.Ticks;

    private void AssertNothingAllocated()
    {
        Poll();
        long allocated = Allocated.Bytes(_ => Poll(1_000));
        Assert.Equal(0, allocated);
    }

    private void Poll(int times)
    {
        for (int i = 0; i < times; i++)
            Poll();
    }

    private void Poll()
    {
        _telemetry.PollCompleted("packing-a", new PollTimes(0, 0, 15_000, 30_000), PollOutcome.Complete);
        _telemetry.ReadErrors("packing-a", 1);
        _telemetry.PollsMissed("packing-a", 1);
    }

    /// <summary>Listens to this test's own meter: others of the same name live beside it.</summary>
    private MeterListener Listener(Action<string, double, string> heard)
    {
        MeterListener listener = Listening();
        listener.SetMeasurementEventCallback<double>((i, value, tags, _) => heard(i.Name, value, Text(tags)));
        listener.SetMeasurementEventCallback<long>((i, value, tags, _) => heard(i.Name, value, Text(tags)));
        listener.SetMeasurementEventCallback<int>((i, value, tags, _) => heard(i.Name, value, Text(tags)));
        listener.Start();
        return listener;
    }

    private MeterListener Listening() =>
        new()
        {
            InstrumentPublished = (instrument, me) =>
            {
                if (instrument.Meter == _telemetry.Meter)
                    me.EnableMeasurementEvents(instrument);
            },
        };

    private static string Text(ReadOnlySpan<KeyValuePair<string, object?>> tags) =>
        string.Join(',', tags.ToArray().Select(tag => $"{tag.Key}={tag.Value}"));

    public void Dispose() => _telemetry.Dispose();

    /// <summary>Listens to this test's own activities, in the order in which they end.</summary>
    private sealed class Tracing : IDisposable
    {
        private readonly ActivityListener _listener;

        public Tracing(AgentTelemetry telemetry)
        {
            _listener = new ActivityListener
            {
                ShouldListenTo = source => source == telemetry.Activities,
                Sample = (ref ActivityCreationOptions<ActivityContext> _) => ActivitySamplingResult.AllData,
                ActivityStopped = Ended.Add,
            };
            ActivitySource.AddActivityListener(_listener);
        }

        public List<Activity> Ended { get; } = [];

        public void Dispose() => _listener.Dispose();
    }
}
