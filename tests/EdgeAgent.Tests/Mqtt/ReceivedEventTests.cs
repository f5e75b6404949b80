using System.Text;
using Dancerwatch.EdgeAgent.Mqtt;
using Dancerwatch.EdgeAgent.Tests.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt;

public sealed class ReceivedEventTests
{
    [Fact]
    public void What_was_sent_is_read_again()
    {
        bool ok = ReceivedEvent.TryRead(
            EventPayload.Of(Machines.Event(Machines.LimitApproach), sequence: 7),
            out ReceivedEvent? read,
            out _
        );

        Assert.True(ok);
        Assert.Equal("limit-approach", read!.Condition);
        Assert.Equal(4.75, read.SecondsToLimit);
        Assert.Equal(Machines.Milliseconds, read.Time.ToUnixTimeMilliseconds());
        Assert.Equal(["roll-overrun", "sensor-drift"], read.Causes.Select(ranked => ranked.Cause));
    }

    [Theory]
    [InlineData("")]
    [InlineData("brew")]
    [InlineData("[]")]
    [InlineData("{}")]
    [InlineData("""{"id":"1","data":[]}""")]
    [InlineData(
        """{"id":"1","data":{"ts":1e300,"machine":"tea-1","condition":"oscillation","state":"raised"}}"""
    )]
    [InlineData(
        """{"id":"1","data":{"ts":9223372036854775807,"machine":"tea-1","condition":"a","state":"b"}}"""
    )]
    [InlineData("""{"id":"1","data":{"ts":1,"machine":7,"condition":"oscillation","state":"raised"}}""")]
    public void What_is_no_event_of_ours_is_told_and_not_thrown(string payload)
    {
        Assert.False(ReceivedEvent.TryRead(Encoding.UTF8.GetBytes(payload), out _, out string problem));
        Assert.NotEmpty(problem);
    }

    [Property]
    public void Any_bytes_are_survived(byte[] payload) => ReceivedEvent.TryRead(payload ?? [], out _, out _);
}
