using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Forecast;

namespace Dancerwatch.Signals.Tests.Causes;

public sealed class SpeedTopTests
{
    private readonly SpeedTop _top = new();

    [Fact]
    public void The_same_highest_speed_while_fill_falls_is_the_top()
    {
        Fall(percentPerBlock: 1, topStep: 0);

        Assert.True(_top.IsReached);
        _top.Clear();
        Assert.False(_top.IsReached);
    }

    [Theory]
    [InlineData(0, 0)] // nothing to answer
    [InlineData(-1, 0)] // fill comes back
    [InlineData(1, 0.1)] // the unwind answers
    [InlineData(1, -0.1)] // it is held more and more
    public void Anything_else_is_not(double percentPerBlock, double topStep)
    {
        Fall(percentPerBlock, topStep);

        Assert.False(_top.IsReached);
    }

    private void Fall(double percentPerBlock, double topStep)
    {
        for (int i = 0; i < 8; i++)
            _top.Add(
                default(FilmBlock) with
                {
                    MeanFill = 50 - (i * percentPerBlock),
                    HighestUnwind = 15 + (i * topStep),
                }
            );
    }
}
