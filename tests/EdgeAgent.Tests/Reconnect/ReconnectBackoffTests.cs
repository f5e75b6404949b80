using Dancerwatch.EdgeAgent.Reconnect;
using FsCheck;
using FsCheck.Fluent;
using FsCheck.Xunit;

namespace Dancerwatch.EdgeAgent.Tests.Reconnect;

public sealed class ReconnectBackoffTests
{
    private static readonly ReconnectBackoff s_backoff = new(TimeSpan.FromMilliseconds(800));

    [Theory]
    [InlineData(0, 50)]
    [InlineData(1, 100)]
    [InlineData(3, 400)]
    [InlineData(4, 800)]
    [InlineData(5, 800)]
    [InlineData(int.MaxValue, 800)]
    public void Intervals_double_up_to_the_maximum(int attempt, int milliseconds) =>
        Assert.Equal(milliseconds, s_backoff.Pause(attempt, TimeSpan.Zero, random: 0).TotalMilliseconds);

    [Fact]
    public void Jitter_shortens_by_up_to_a_quarter_and_never_lengthens()
    {
        Assert.Equal(700, s_backoff.Pause(9, TimeSpan.Zero, random: 0.5).TotalMilliseconds);
        Assert.Equal(600, s_backoff.Pause(9, TimeSpan.Zero, random: 1).TotalMilliseconds, 9);
    }

    [Fact]
    public void An_attempt_that_waited_in_vain_does_not_lengthen_the_interval() =>
        Assert.Equal(300, s_backoff.Pause(9, TimeSpan.FromMilliseconds(500), random: 0).TotalMilliseconds);

    [Property]
    public Property A_controller_is_given_time_to_breathe_and_not_more_than_the_maximum() =>
        Prop.ForAll(
            Gen.Choose(0, int.MaxValue).ToArbitrary(),
            Gen.Choose(0, 100_000).ToArbitrary(),
            Gen.Choose(0, 999).ToArbitrary(),
            (attempt, took, random) =>
            {
                TimeSpan pause = s_backoff.Pause(attempt, TimeSpan.FromMilliseconds(took), random / 1000.0);
                return pause >= ReconnectBackoff.ShortestPause && pause <= TimeSpan.FromMilliseconds(800);
            }
        );
}
