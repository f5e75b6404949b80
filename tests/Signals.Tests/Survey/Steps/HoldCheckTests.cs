using Dancerwatch.Signals.Survey;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.Signals.Tests.Survey.Steps;

public sealed class HoldCheckTests
{
    [Theory]
    [InlineData(HoldPlace.Full, 3480, HoldDoubt.None)]
    [InlineData(HoldPlace.Full, 640, HoldDoubt.OtherEnd)]
    [InlineData(HoldPlace.Empty, 640, HoldDoubt.None)]
    [InlineData(HoldPlace.Empty, 3480, HoldDoubt.OtherEnd)]
    [InlineData(HoldPlace.Full, 0, HoldDoubt.OutOfRange)]
    [InlineData(HoldPlace.Full, 4095, HoldDoubt.OutOfRange)]
    public void The_first_end_is_compared_with_the_set_points(HoldPlace place, double gap, HoldDoubt doubt) =>
        Assert.Equal(doubt, HoldCheck.Of(place, At(gap), Surveys.Known, new SurveyMeasures()));

    [Theory]
    [InlineData(3480, 640, HoldDoubt.None)]
    [InlineData(3480, 3470, HoldDoubt.NotMoved)]
    [InlineData(3480, 2600, HoldDoubt.OtherEnd)]
    // Kept against the set points, full at 640: then empty belongs near 3480, and not there again.
    [InlineData(640, 3480, HoldDoubt.None)]
    [InlineData(640, 700, HoldDoubt.NotMoved)]
    [InlineData(640, 1500, HoldDoubt.OtherEnd)]
    public void The_other_end_is_compared_with_the_first(double full, double empty, HoldDoubt doubt) =>
        Assert.Equal(
            doubt,
            HoldCheck.Of(HoldPlace.Empty, At(empty), Surveys.Known, new SurveyMeasures { Full = At(full) })
        );

    [Theory]
    [InlineData(2000, HoldDoubt.None)]
    [InlineData(3400, HoldDoubt.NotBetween)]
    [InlineData(2400, HoldDoubt.OtherMark)]
    public void Half_way_is_between_the_ends_and_the_same_mark_twice(double gap, HoldDoubt doubt) =>
        Assert.Equal(
            doubt,
            HoldCheck.Of(
                HoldPlace.HalfFromBelow,
                At(gap),
                Surveys.Known,
                new SurveyMeasures
                {
                    Full = At(3500),
                    Empty = At(600),
                    HalfFromAbove = At(2010),
                }
            )
        );

    [Fact]
    public void Readings_that_are_all_the_same_are_doubted() =>
        Assert.Equal(
            HoldDoubt.Constant,
            HoldCheck.Of(
                HoldPlace.Full,
                At(3480) with
                {
                    Step = double.NaN,
                },
                Surveys.Known,
                new SurveyMeasures()
            )
        );

    private static Hold At(double gap) => new(new Uncertain(gap, 1), 2, 1, 10, 500);
}
