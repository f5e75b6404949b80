using Dancerwatch.EdgeAgent.Commands.Reporting;

namespace Dancerwatch.EdgeAgent.Tests.Commands.Reporting;

public sealed class ZonedTimeTests
{
    private static readonly TimeZoneInfo s_london = TimeZoneInfo.FindSystemTimeZoneById("Europe/London");

    [Theory]
    [InlineData("2026-11-25T06:00", "2026-11-25T06:00:00Z")]
    [InlineData("2026-07-25T06:00", "2026-07-25T05:00:00Z")]
    [InlineData("2026-07-25", "2026-07-24T23:00:00Z")]
    [InlineData("2026-07-25T06:00Z", "2026-07-25T06:00:00Z")]
    [InlineData("2026-07-25T06:00+02:00", "2026-07-25T04:00:00Z")]
    public void A_time_without_an_offset_is_of_the_zone(string typed, string utc) =>
        Assert.Equal(DateTimeOffset.Parse(utc, null), ZonedTime.Parse(typed, s_london));

    [Fact]
    public void A_word_is_no_time() => Assert.Null(ZonedTime.Parse("noon", s_london));

    // Clocks in the United Kingdom went back on 2026-10-25: the last Sunday of October (from memory).
    [Fact]
    public void A_day_on_which_clocks_are_put_back_has_25_hours()
    {
        DateTimeOffset day = ZonedTime.Parse("2026-10-25", s_london)!.Value;

        Assert.Equal(25, (ZonedTime.NextMidnight(day, s_london) - day).TotalHours);
    }
}
