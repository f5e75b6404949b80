using System.Text;
using System.Text.Json;
using Dancerwatch.EdgeAgent.Mqtt.Sparkplug;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt.Sparkplug;

public sealed class EventMetricsTests
{
    [Fact]
    public void Each_field_of_an_event_is_a_metric_of_the_node()
    {
        EventMetrics told = EventMetrics.Of(Entry(Machines.LimitApproach))!;

        using JsonDocument sent = JsonDocument.Parse(Entry(Machines.LimitApproach).Payload);
        string[] fields =
        [
            "id",
            "sequence",
            .. sent
                .RootElement.GetProperty("data")
                .EnumerateObject()
                .Select(field => field.Name)
                .Where(name => name != "ts"),
        ];
        Assert.Equal(fields.Select(name => $"event/{name}"), told.Node.Select(metric => metric.Name));
        Dictionary<string, MetricValue> metrics = told.Node.ToDictionary(one => one.Name, one => one.Value);
        Assert.Equal("tea-1:limit-approach:1795595400250:0", metrics["event/id"].Text);
        Assert.Equal(7, metrics["event/sequence"].Whole);
        Assert.Equal(88.25, metrics["event/fill"].Number);
        Assert.Equal(MetricValue.Null(MetricType.Double), metrics["event/frequency_hz"]);
        Assert.Equal("roll-overrun", metrics["event/cause"].Text);
        Assert.Equal((Machines.Milliseconds, "tea-1"), (told.Milliseconds, told.Machine));
    }

    [Fact]
    public void It_says_what_became_of_the_condition()
    {
        Assert.Equal(
            [
                new("conditions/limit_approach", MetricValue.Of("high")),
                new("conditions/limit_approach_side", MetricValue.Of("full")),
                new("conditions/limit_approach_cause", MetricValue.Of("roll-overrun")),
                new(
                    "conditions/limit_approach_since",
                    MetricValue.Of(Machines.Milliseconds, MetricType.DateTime)
                ),
            ],
            EventMetrics.Of(Entry(Machines.LimitApproach))!.Condition
        );
        Assert.All(
            EventMetrics.Of(Entry(Machines.LimitApproach with { State = ConditionState.Cleared }))!.Condition,
            metric => Assert.True(metric.Value.IsNull)
        );
    }

    [Fact]
    public void Those_of_no_event_are_the_same_all_null()
    {
        EventMetrics told = EventMetrics.Of(Entry(Machines.LimitApproach))!;
        EventMetrics lost = EventMetrics.Of(Lost())!;

        Assert.Equal(
            told.Node.Concat(lost.Node).Select(metric => (metric.Name, metric.Value.Type)),
            EventMetrics.None.Select(metric => (metric.Name, metric.Value.Type))
        );
        Assert.All(EventMetrics.None, metric => Assert.True(metric.Value.IsNull));
    }

    [Fact]
    public void Lost_events_are_told_by_their_numbers() =>
        Assert.Equal(
            [
                new("lost/first_sequence", MetricValue.Of(3)),
                new("lost/last_sequence", MetricValue.Of(9)),
                new("lost/events", MetricValue.Of(5)),
            ],
            EventMetrics.Of(Lost())!.Node
        );

    [Theory]
    [InlineData("")]
    [InlineData("{}")]
    [InlineData("{\"id\":\"x\",\"sequence\":\"1\",\"data\":{\"ts\":1}}")]
    [InlineData("{\"id\":\"x\",\"sequence\":\"one\",\"data\":{}}")]
    public void What_is_no_event_of_ours_is_nothing_to_tell(string payload) =>
        Assert.Null(
            EventMetrics.Of(new OutboxEntry(1, "/a/b/c/d", "x", null, Encoding.UTF8.GetBytes(payload)))
        );

    internal static OutboxEntry Entry(ConditionTransition transition, long? readingTicks = null) =>
        new(
            7,
            Machines.Tea1.Path,
            "x",
            readingTicks,
            EventPayload.Of(Machines.Event(transition), sequence: 7)
        );

    internal static OutboxEntry Lost()
    {
        LostRange lost = new(3, 9, 5);
        const string Agent = "/leafside/tea-hall/agents/dancerwatch";
        return new OutboxEntry(
            9,
            Agent,
            LossPayload.Id("dancerwatch", lost),
            null,
            LossPayload.Of(Agent, "dancerwatch", lost, Machines.Milliseconds)
        )
        {
            Lost = lost,
        };
    }
}
