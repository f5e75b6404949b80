using System.Globalization;
using Dancerwatch.Signals.Statistics;

namespace Dancerwatch.EdgeAgent.Reports.Html;

/// <summary>Times, durations and the facts at the head of a report, in words.</summary>
internal sealed class ReportWords(MachineReport report)
{
    private readonly TimeZoneInfo _zone = TimeZoneInfo.FindSystemTimeZoneById(report.TimeZone);

    public string Period => $"{Time(report.From)} to {Time(report.To)}";

    public string Units =>
        $"{report.Asked}. Times in {report.TimeZone}. Fill, margins and amplitudes in % of fill, diameters in mm.";

    public string Time(long milliseconds) =>
        TimeZoneInfo
            .ConvertTime(DateTimeOffset.FromUnixTimeMilliseconds(milliseconds), _zone)
            .ToString("yyyy-MM-dd HH:mm:ss", CultureInfo.InvariantCulture);

    /// <summary>A time that does not break.</summary>
    public string Cell(long milliseconds) => $"<span class=\"time\">{Time(milliseconds)}</span>";

    /// <inheritdoc cref="Cell"/>
    public static string LastingCell(double seconds) =>
        $"<span class=\"time\">{Durations.InWords(seconds)}</span>";

    public string Facts()
    {
        TripRate rate = report.TripRate;
        double[] leads = [.. report.Trips.Select(trip => trip.LeadSeconds).OfType<double>()];
        string lead =
            leads.Length == 0
                ? "of those that could be"
                : $"half of them at least {Durations.InWords(Sample.Median(leads))} ahead";
        double least = Least(report.Timeline.FullMargin, report.Timeline.EmptyMargin);
        return $"""
            <dl class="facts">
            {Fact(
                "running",
                Durations.InWords(3600 * report.Hours.Running),
                $"stood {Durations.InWords(3600 * (report.Hours.Standing + report.Hours.Tripped))}, {Counted(report.Stops.Count, "stop")}"
            )}
            {Fact("trips", $"{report.Trips.Count}", rate.UnderWay == 0 ? "" : $"{rate.UnderWay} of them under way at a start")}
            {Fact(
                "running between trips",
                rate.Trips == 0 ? "no trip" : Durations.InWords(3600 * rate.Between),
                $"95 %: {Durations.InWords(3600 * rate.AtLeast)} to {Durations.InWords(3600 * rate.AtMost)}"
            )}
            {Fact(
                "trips warned of",
                $"{leads.Length} of {rate.Trips}",
                lead
            )}
            {Fact(
                "false warnings",
                $"{report.FalseWarnings}",
                report.UnsettledWarnings == 0
                    ? ""
                    : $"of {report.UnsettledWarnings} more it cannot be told yet"
            )}
            {Fact("smallest margin", $"{Tag.Number(least, "F1")} %", "of a minute of running")}
            </dl>
            """;
    }

    public static string Counted(int count, string what) => $"{count} {what}{(count == 1 ? "" : "s")}";

    private static string Fact(string name, string value, string beside) =>
        $"<div><dt>{Tag.Text(name)}</dt><dd>{Tag.Text(value)}<small>{Tag.Text(beside)}</small></dd></div>";

    private static double Least(IEnumerable<double> full, IEnumerable<double> empty) =>
        full.Concat(empty).Where(double.IsFinite).DefaultIfEmpty(double.NaN).Min();
}
