using System.Text;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Outbox;
using Dancerwatch.EdgeAgent.Tests.Outbox;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt;

public sealed class ReceivedLossTests
{
    [Fact]
    public void What_was_sent_is_read_again()
    {
        LostRange lost = new(412, 519, 108);

        bool ok = ReceivedLoss.TryRead(
            LossPayload.Of(Outboxes.Source, "dancerwatch", lost, Machines.Milliseconds),
            out ReceivedLoss? read
        );

        Assert.True(ok);
        Assert.Equal(("dancerwatch", lost), (read!.Agent, read.Lost));
        Assert.Equal(Machines.Milliseconds, read.Time.ToUnixTimeMilliseconds());
    }

    [Theory]
    [InlineData("{}")]
    [InlineData("[]")]
    [InlineData("""{"type":7}""")]
    [InlineData("""{"type":"dancerwatch.events.lost","data":{"agent":"a"}}""")]
    [InlineData(
        """{"type":"dancerwatch.events.lost","data":{"agent":"a","ts":1e300,"first_sequence":1,"last_sequence":2,"events":2}}"""
    )]
    public void What_is_no_word_of_lost_events_is_told_apart(string payload) =>
        Assert.False(ReceivedLoss.TryRead(Encoding.UTF8.GetBytes(payload), out _));

    [Fact]
    public void A_warning_is_none() =>
        Assert.False(
            ReceivedLoss.TryRead(EventPayload.Of(Machines.Event(Machines.LimitApproach), sequence: 7), out _)
        );

    [Property]
    public void Any_bytes_are_survived(byte[] payload) => ReceivedLoss.TryRead(payload ?? [], out _);
}
