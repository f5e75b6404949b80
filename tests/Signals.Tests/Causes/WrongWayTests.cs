using Dancerwatch.Signals.Causes;
using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Signals.Tests.Causes;

/// <summary>A line that takes 12 m/min, a target of 50 %.</summary>
public sealed class WrongWayTests
{
    private readonly WrongWay _way = new();

    [Fact]
    public void A_controller_that_acts_too_late_is_wrong_to_both_sides_in_turn()
    {
        for (int i = 0; i < 20; i++)
        {
            Ask(5, fill: 40, command: 10);
            Ask(5, fill: 60, command: 14);
        }

        Assert.InRange(_way.Share, 0.99, 1);
        Assert.Equal(0, _way.ShortShare);
    }

    [Fact]
    public void All_that_a_drive_can_give_is_too_little_and_not_the_wrong_way()
    {
        Ask(200, fill: 40, command: 10);

        Assert.Equal(0, _way.Share);
        Assert.Equal(1, _way.ShortShare, 1e-3);
    }

    [Theory]
    [InlineData(60, 10)]
    [InlineData(40, 14)]
    [InlineData(40, 11.5)] // 4 % less than the line's speed is nothing
    [InlineData(46, 10)] // 4 % off target neither
    [InlineData(40, double.NaN)]
    [InlineData(40, 10, double.NaN)]
    public void What_is_right_or_little_or_not_known_is_not_wrong(
        double fill,
        double command,
        double line = 12
    )
    {
        Ask(200, fill, command, line);

        Assert.Equal(0, _way.Share);
        Assert.Equal(0, _way.ShortShare);
    }

    [Fact]
    public void It_is_followed_and_forgotten_with_a_lag_of_15_seconds()
    {
        Ask(15, fill: 40, command: 10);
        Assert.Equal(1 - Math.Exp(-1), _way.ShortShare, 1e-3);
        Ask(15, fill: 40, command: 14);
        Assert.Equal((1 - Math.Exp(-1)) * Math.Exp(-1), _way.ShortShare, 1e-3);
        _way.Clear();
        Assert.Equal(0, _way.ShortShare);
    }

    private void Ask(double seconds, double fill, double command, double line = 12)
    {
        var estimate = new FillEstimate(fill, 600, 3500, 50, FillFault.None, SetPointsChanged: false);
        for (double t = 0; t < seconds; t += TestFilm.PollSeconds)
            _way.Add(TestFilm.PollSeconds, estimate, command, line);
    }
}
