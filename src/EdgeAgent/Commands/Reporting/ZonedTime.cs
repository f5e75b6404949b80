using System.Globalization;

namespace Dancerwatch.EdgeAgent.Commands.Reporting;

/// <summary>Times as typed: with an offset they are what they say, without one they are of a zone.</summary>
internal static class ZonedTime
{
    /// <summary>Year first (ISO 8601); in any other order a day may be a month.</summary>
    private static readonly string[] s_formats =
    [
        "yyyy-MM-dd",
        "yyyy-MM-dd'T'HH:mmK",
        "yyyy-MM-dd HH:mmK",
        "yyyy-MM-dd'T'HH:mm:ss.FFFFFFFK",
        "yyyy-MM-dd HH:mm:ss.FFFFFFFK",
    ];

    /// <param name="trouble">Where there is no such time: why, what is allowed, and what to try.</param>
    public static DateTimeOffset? Parse(string text, TimeZoneInfo zone, out string? trouble)
    {
        trouble = null;
        if (
            !DateTime.TryParseExact(
                text,
                s_formats,
                CultureInfo.InvariantCulture,
                DateTimeStyles.RoundtripKind,
                out DateTime time
            )
        )
        {
            trouble = "Allowed: a date, with or without a time. Try 2026-11-25T06:00.";
            return null;
        }
        if (time.Kind != DateTimeKind.Unspecified)
            return new DateTimeOffset(time).ToUniversalTime();
        // A day begins at its first moment, whatever clocks do at midnight.
        if (time.TimeOfDay == TimeSpan.Zero)
            return Midnight(time, zone);
        if (zone.IsInvalidTime(time))
        {
            trouble =
                $"Clocks in {zone.Id} were put on then, and no such time was. Try {Text(time.AddHours(1))}.";
            return null;
        }
        if (zone.IsAmbiguousTime(time))
        {
            string[] twice =
            [
                .. zone.GetAmbiguousTimeOffsets(time)
                    .OrderDescending()
                    .Select(offset => Text(new DateTimeOffset(time, offset))),
            ];
            trouble =
                $"Clocks in {zone.Id} were put back then, and it was twice. Say which: {string.Join(" or ", twice)}.";
            return null;
        }
        return new DateTimeOffset(time, zone.GetUtcOffset(time)).ToUniversalTime();
    }

    /// <summary>A day without a time of it; null where it is none, or one.</summary>
    public static DateTimeOffset? Day(string text, TimeZoneInfo zone) =>
        DateTime.TryParseExact(
            text,
            s_formats[0],
            CultureInfo.InvariantCulture,
            DateTimeStyles.None,
            out DateTime day
        )
            ? Midnight(day, zone)
            : null;

    public static DateTimeOffset NextMidnight(DateTimeOffset day, TimeZoneInfo zone) =>
        Midnight(TimeZoneInfo.ConvertTime(day, zone).Date.AddDays(1), zone);

    /// <summary>Where clocks are put at midnight, the earlier of two, and where there is none the moment they are put on.</summary>
    private static DateTimeOffset Midnight(DateTime day, TimeZoneInfo zone)
    {
        TimeSpan offset =
            zone.IsAmbiguousTime(day) ? zone.GetAmbiguousTimeOffsets(day).Max()
            : zone.IsInvalidTime(day) ? zone.GetUtcOffset(day.AddHours(-2))
            : zone.GetUtcOffset(day);
        return new DateTimeOffset(day, offset).ToUniversalTime();
    }

    private static string Text(DateTime time) =>
        time.ToString("yyyy-MM-dd'T'HH:mm", CultureInfo.InvariantCulture);

    private static string Text(DateTimeOffset time) =>
        time.ToString("yyyy-MM-dd'T'HH:mmzzz", CultureInfo.InvariantCulture);
}
