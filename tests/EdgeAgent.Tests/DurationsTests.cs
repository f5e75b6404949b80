namespace Dancerwatch.EdgeAgent.Tests;

public sealed class DurationsTests
{
    [Theory]
    [InlineData(0, "0.0 s")]
    [InlineData(99.94, "99.9 s")]
    [InlineData(100, "2 min")]
    [InlineData(5_939, "99 min")]
    [InlineData(5_940, "1.6 h")]
    [InlineData(double.PositiveInfinity, "no end")]
    [InlineData(double.NaN, "–")]
    public void A_duration_is_told_in_the_unit_that_a_person_would_take(double seconds, string words) =>
        Assert.Equal(words, Durations.InWords(seconds));
}
