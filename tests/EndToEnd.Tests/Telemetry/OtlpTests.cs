using Dancerwatch.EdgeAgent.Telemetry;

namespace Dancerwatch.EndToEnd.Tests.Telemetry;

/// <summary>What a collector gets over OTLP.</summary>
public sealed class OtlpTests
{
    [Fact]
    public async Task A_collector_sees_every_instrument_and_the_way_of_an_event_from_its_poll_to_the_broker()
    {
        await using OtlpReceiver receiver = await OtlpReceiver.StartAsync();
        await using MeasuredAgent agent = await MeasuredAgent.StartAsync(receiver.Address);
        await agent.MetricsAsync("edgeagent_polls_total{controller=\"tea\",outcome=\"complete\"} ");
        agent.LoseData();
        await agent.MetricsAsync("edgeagent_events_published_total 1");

        // At the end it sends what it has.
        Assert.Equal(0, await agent.StopAsync());
        await Eventually.IsTrueAsync(() => receiver.Instruments.Any() && receiver.Spans.Any());

        Assert.Equal(
            DocumentedInstrument.All.Select(each => (each.Name, each.Unit, each.Kind)).Order(),
            receiver.Instruments.Select(each => (each.Name, each.Unit, each.Kind)).Distinct().Order()
        );
        Assert.All(receiver.Instruments, each => Assert.EndsWith(".", each.Description));
        ReceivedSpan whole = receiver.Spans.First(span => span.Name == AgentTraces.EventActivity);
        ReceivedSpan[] parts =
        [
            .. receiver
                .Spans.Where(span => span.Trace == whole.Trace && span.Parent == whole.Id)
                .OrderBy(span => span.Start),
        ];
        Assert.Equal(
            [AgentTraces.PollActivity, AgentTraces.OutboxActivity, AgentTraces.PublishActivity],
            parts.Select(span => span.Name)
        );
        Assert.Equal((whole.Start, whole.End), (parts[0].Start, parts[^1].End));
        Assert.Equal((parts[0].End, parts[1].End), (parts[1].Start, parts[2].Start));
        Assert.All(parts, span => Assert.InRange(span.End, span.Start, whole.End));
    }
}
