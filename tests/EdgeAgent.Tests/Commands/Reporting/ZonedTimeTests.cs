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
        Assert.Equal(DateTimeOffset.Parse(utc, null), ZonedTime.Parse(typed, s_london, out _));

    [Fact]
    public void A_word_is_no_time() => Assert.Null(ZonedTime.Parse("noon", s_london, out _));

    // Havana puts its clocks at midnight: on at 0:00 on 2026-03-08, back at 1:00 on 2026-11-01 (IANA data, read with zdump).
    [Theory]
    [InlineData("2026-03-08", "2026-03-08T05:00:00Z", 23)]
    [InlineData("2026-11-01", "2026-11-01T04:00:00Z", 25)]
    public void A_day_begins_at_its_first_moment_also_where_clocks_are_put_at_midnight(
        string day,
        string utc,
        int hours
    )
    {
        TimeZoneInfo havana = TimeZoneInfo.FindSystemTimeZoneById("America/Havana");

        DateTimeOffset begin = ZonedTime.Day(day, havana)!.Value;

        Assert.Equal(DateTimeOffset.Parse(utc, null), begin);
        Assert.Equal(hours, (ZonedTime.NextMidnight(begin, havana) - begin).TotalHours);
    }

    // Clocks in the United Kingdom went back on 2026-10-25: the last Sunday of October (from memory).
    [Fact]
    public void A_day_on_which_clocks_are_put_back_has_25_hours()
    {
        DateTimeOffset day = ZonedTime.Parse("2026-10-25", s_london, out _)!.Value;

        Assert.Equal(25, (ZonedTime.NextMidnight(day, s_london) - day).TotalHours);
    }
}
