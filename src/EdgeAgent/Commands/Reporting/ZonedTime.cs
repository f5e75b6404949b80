using System.Globalization;

namespace Dancerwatch.EdgeAgent.Commands.Reporting;

/// <summary>Times as typed: with an offset they are what they say, without one they are of a zone.</summary>
internal static class ZonedTime
{
    public static DateTimeOffset? Parse(string text, TimeZoneInfo zone)
    {
        if (
            !DateTime.TryParse(
                text,
                CultureInfo.InvariantCulture,
                DateTimeStyles.RoundtripKind,
                out DateTime time
            )
        )
            return null;
        if (time.Kind != DateTimeKind.Unspecified)
            return new DateTimeOffset(time).ToUniversalTime();
        return At(time, zone);
    }

    public static DateTimeOffset NextMidnight(DateTimeOffset day, TimeZoneInfo zone) =>
        At(TimeZoneInfo.ConvertTime(day, zone).Date.AddDays(1), zone);

    private static DateTimeOffset At(DateTime local, TimeZoneInfo zone) =>
        new DateTimeOffset(local, zone.GetUtcOffset(local)).ToUniversalTime();
}
