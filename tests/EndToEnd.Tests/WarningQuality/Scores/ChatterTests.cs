using Dancerwatch.Bench.WarningQuality.Scores;

namespace Dancerwatch.EndToEnd.Tests.WarningQuality.Scores;

public sealed class ChatterTests
{
    [Theory]
    [InlineData(new double[] { 10, 30 }, 0)]
    [InlineData(new double[] { 10, 30, 69 }, 1)]
    [InlineData(new double[] { 10, 30, 70 }, 0)] // a whole minute
    [InlineData(new double[] { 10, 20, 30, 40 }, 2)] // the third and the fourth
    [InlineData(new double[] { 10, 60, 110, 160 }, 0)]
    public void Three_raises_within_a_minute_chatter(double[] raised, int chatters) =>
        Assert.Equal(chatters, Count([], [.. raised.Select(t => (t, "trip-likely"))]));

    [Fact]
    public void Each_condition_chatters_by_itself() =>
        Assert.Equal(0, Count([], [(10, "trip-likely"), (20, "margin-low"), (30, "off-target")]));

    [Fact]
    public void What_is_raised_after_a_trip_is_raised_anew() =>
        Assert.Equal(0, Count([25], [(10, "margin-low"), (20, "margin-low"), (30, "margin-low")]));

    private static int Count(double[] trips, (double, string)[] warned) =>
        Chatter.Of(MadeUpRun.Of(1_000, trips, warned: warned), MadeUpRun.Watcher).Count();
}
