using System.Text;
using Dancerwatch.EdgeAgent.Mqtt.Sparkplug;

namespace Dancerwatch.EdgeAgent.Tests.Mqtt.Sparkplug;

public sealed class PrimaryHostTests
{
    private readonly PrimaryHost _host = new();

    [Fact]
    public void Nobody_is_online_before_a_word() => Assert.False(_host.IsOnline);

    [Fact]
    public void The_first_word_counts_whatever_its_time()
    {
        Say(online: true, timestamp: -5);

        Assert.True(_host.IsOnline);
    }

    [Fact]
    public void It_leaves_by_a_word_of_the_same_connection()
    {
        Say(online: true, timestamp: 100);
        Say(online: false, timestamp: 100);

        Assert.Equal((false, true), (_host.IsOnline, _host.HasLeft));
    }

    [Fact]
    public void A_will_of_a_connection_it_gave_up_counts_for_nothing()
    {
        Say(online: true, timestamp: 100);
        Say(online: false, timestamp: 99);

        Assert.Equal((true, false), (_host.IsOnline, _host.HasLeft));
    }

    [Fact]
    public void That_it_left_stands_though_it_be_back_before_anybody_looks()
    {
        Say(online: true, timestamp: 100);
        Say(online: false, timestamp: 100);
        Say(online: true, timestamp: 101);

        Assert.Equal((true, true), (_host.IsOnline, _host.HasLeft));
    }

    [Fact]
    public void Over_a_new_connection_it_must_say_so_again_and_not_with_an_older_word()
    {
        Say(online: true, timestamp: 100);
        _host.Forget();
        Assert.False(_host.IsOnline);

        Say(online: true, timestamp: 99);
        Assert.False(_host.IsOnline);
        Say(online: true, timestamp: 100);
        Assert.True(_host.IsOnline);
    }

    [Fact]
    public void A_host_that_was_never_online_has_not_left()
    {
        Say(online: false, timestamp: 100);

        Assert.Equal((false, false), (_host.IsOnline, _host.HasLeft));
    }

    [Theory]
    [InlineData("")]
    [InlineData("ONLINE")]
    [InlineData("[]")]
    [InlineData("{\"online\": true}")]
    [InlineData("{\"online\": \"true\", \"timestamp\": 1}")]
    [InlineData("{\"online\": true, \"timestamp\": \"now\"}")]
    [InlineData("{\"online\": true, \"timestamp\": 1.5}")]
    public void What_is_no_word_of_a_host_changes_nothing(string text)
    {
        Assert.False(_host.Hear(Encoding.UTF8.GetBytes(text)));
        Assert.False(_host.IsOnline);
    }

    private void Say(bool online, long timestamp) =>
        Assert.True(
            _host.Hear(
                Encoding.UTF8.GetBytes(
                    $$"""{"online": {{(online ? "true" : "false")}}, "timestamp": {{timestamp}}}"""
                )
            )
        );
}
