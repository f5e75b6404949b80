namespace Dancerwatch.EdgeAgent.Reports.Html;

/// <summary>The tables of a report.</summary>
internal static class ReportTables
{
    /// <summary>More rows nobody reads on paper; the JSON has all.</summary>
    private const int MostRows = 200;

    public static string Causes(MachineReport report) =>
        Tag.Table(
            "Causes, ranked",
            ["cause", "trips", "warnings", "minutes warned"],
            report.Causes.Select(row =>
                (IReadOnlyList<string>)
                    [
                        Tag.Text(row.Cause),
                        $"{row.Trips}",
                        $"{row.Warnings}",
                        Tag.Number(row.MinutesWarned, "F1"),
                    ]
            ),
            "Nothing was warned of and nothing tripped."
        );

    public static string Trips(MachineReport report, ReportWords words) =>
        Tag.Table(
            "Trips",
            ["when", "side", "warned ahead", "likeliest cause"],
            report
                .Trips.Take(MostRows)
                .Select(trip =>
                    (IReadOnlyList<string>)
                        [
                            words.Cell(trip.Time),
                            trip.Side ?? "either",
                            trip.UnderWay ? "under way at a start"
                            : trip.LeadSeconds is { } lead ? ReportWords.LastingCell(lead)
                            : "no",
                            Tag.Text(trip.Cause),
                        ]
                ),
            "None."
        );

    public static string Warnings(MachineReport report, ReportWords words) =>
        Tag.Table(
            Title("Warnings", report.Warnings.Count),
            ["raised", "for", "priority", "condition", "side", "first cause", "evidence"],
            report
                .Warnings.Take(MostRows)
                .Select(warning =>
                    (IReadOnlyList<string>)
                        [
                            words.Cell(warning.Raised),
                            warning.Cleared is { } cleared
                                ? ReportWords.LastingCell((cleared - warning.Raised) / 1000.0)
                                : "still raised",
                            Tag.Priority(warning.Priority),
                            Tag.Text(warning.Condition),
                            warning.Side ?? "",
                            Tag.Text(warning.Cause),
                            Tag.Text(warning.Evidence),
                        ]
                ),
            "None."
        );

    public static string Stops(MachineReport report, ReportWords words) =>
        Tag.Table(
            Title("Stops", report.Stops.Count),
            ["when", "for", "by"],
            report
                .Stops.Take(MostRows)
                .Select(stop =>
                    (IReadOnlyList<string>)
                        [
                            words.Cell(stop.Time),
                            ReportWords.LastingCell(stop.Seconds),
                            stop.ByTrip ? "a trip" : "",
                        ]
                ),
            "None."
        );

    public static string Change(ChangeReport change) =>
        Tag.Table(
            "What was compared",
            ["what", "before", "after", "after against before", "p"],
            [
                [
                    "running, h",
                    Tag.Number(change.Before.RunningHours, "F1"),
                    Tag.Number(change.After.RunningHours, "F1"),
                    "",
                    "",
                ],
                [
                    "trips",
                    $"{change.Before.Trips}",
                    $"{change.After.Trips}",
                    change.Trips is { Ratio: not double.NaN } rate
                        ? $"{Tag.Number(rate.Ratio, "G3")} times as often (95 %: {Tag.Number(rate.Least, "G3")} to {Tag.Number(rate.Most, "G3")})"
                        : "",
                    change.Trips is { } test ? Tag.Number(test.PValue, "G2") : "",
                ],
                [
                    "smaller margin of an hour, median, %",
                    Tag.Number(change.Margin?.MedianBefore ?? double.NaN, "F1"),
                    Tag.Number(change.Margin?.MedianAfter ?? double.NaN, "F1"),
                    change.Margin is { } margin
                        ? $"larger in {Tag.Number(margin.LargerShare * 100, "F0")} % of pairs"
                        : "",
                    change.Margin is { } ranks ? Tag.Number(ranks.PValue, "G2") : "",
                ],
            ],
            ""
        );

    public static string LeftOut(MachineReport report) =>
        report.LeftOut.Count == 0
            ? ""
            : Tag.Table("Left out", ["what"], report.LeftOut.Select(line => new[] { Tag.Text(line) }), "");

    private static string Title(string name, int count) =>
        count <= MostRows ? name : $"{name}: the first {MostRows} of {count}; the JSON has all";
}
