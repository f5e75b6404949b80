using Dancerwatch.Signals.Survey.Results;

namespace Dancerwatch.Signals.Tests.Survey.Results;

public sealed class TargetAdviceTests
{
    [Theory]
    [InlineData(10, 10, 0, 50)]
    [InlineData(10, 20, 0, 55)]
    [InlineData(10, 10, 20, 45)]
    public void Both_margins_are_equal_at_the_suggested_target(
        double rise,
        double fall,
        double stop,
        double target
    )
    {
        TargetAdvice advice = TargetAdvice.Of(rise, fall, 0, stop, double.NaN, 5);

        Assert.Equal(target, advice.Target.Value, 1e-9);
        Assert.Equal(advice.FullMargin, advice.EmptyMargin, 1e-9);
        Assert.Equal(stop > rise, advice.StopDecides);
        Assert.False(advice.BrakeDecides);
    }

    [Fact]
    public void A_swing_that_would_meet_the_brake_puts_the_target_lower()
    {
        TargetAdvice advice = TargetAdvice.Of(40, 10, 0, double.NaN, bearsFrom: 70, 5);

        Assert.True(advice.BrakeDecides);
        Assert.Equal(70 - 40 - TargetAdvice.BrakeClearPercent, advice.Target.Value, 1e-9);
    }

    [Fact]
    public void Without_a_run_there_is_none() =>
        Assert.False(TargetAdvice.Of(double.NaN, 1, 1, 5, 88, 5).Target.IsKnown);
}
