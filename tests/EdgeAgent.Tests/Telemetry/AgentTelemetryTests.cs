using System.Diagnostics;
using System.Diagnostics.Metrics;
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
    private readonly AgentTelemetry _telemetry;

    public AgentTelemetryTests() => _telemetry = new AgentTelemetry(_time);

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
            TimeSpan.FromMicroseconds(120),
            TimeSpan.FromMilliseconds(3),
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
    public void A_traced_event_lasts_from_the_reading_to_the_acknowledgement()
    {
        List<Activity> ended = [];
        using ActivityListener listener = new()
        {
            ShouldListenTo = source => source.Name == AgentTelemetry.Name,
            Sample = (ref ActivityCreationOptions<ActivityContext> _) => ActivitySamplingResult.AllData,
            ActivityStopped = activity =>
            {
                lock (ended)
                    ended.Add(activity);
            },
        };
        ActivitySource.AddActivityListener(listener);

        _telemetry.EventPublished(TimeSpan.FromMilliseconds(4));

        lock (ended)
        {
            Assert.Contains(
                ended,
                activity =>
                    activity.OperationName == AgentTelemetry.EventActivity
                    && activity.StartTimeUtc == (_time.GetUtcNow() - TimeSpan.FromMilliseconds(4)).UtcDateTime
                    && activity.Duration == TimeSpan.FromMilliseconds(4)
            );
        }
    }

    private void AssertNothingAllocated()
    {
        Poll();
        long allocated = Allocated.Bytes(_ =>
        {
            for (int i = 0; i < 1_000; i++)
                Poll();
        });
        Assert.Equal(0, allocated);
    }

    private void Poll()
    {
        _telemetry.PollCompleted(
            "packing-a",
            TimeSpan.Zero,
            TimeSpan.FromMilliseconds(3),
            PollOutcome.Complete
        );
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
}
