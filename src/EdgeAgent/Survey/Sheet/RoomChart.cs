using System.Globalization;
using Dancerwatch.Signals.Survey.Results;

namespace Dancerwatch.EdgeAgent.Survey.Sheet;

/// <summary>Where the film runs between the two trips, as it is and as it would be at the suggested target.</summary>
internal static class RoomChart
{
    private const double Width = 300;
    private const double Height = 88;
    private const double Left = 56;
    private const double Right = 292;
    private const double Top = 16;
    private const double Bottom = 68;
    private const double RowHigh = 13;

    public static string Of(SurveyRecord record, SurveyResult result)
    {
        if (record.Measures.Run is not { } run || !result.Target.Target.IsKnown)
            return "<p class=\"missing\">The machine was not watched running.</p>";
        Svg svg = new(Width, Height, "Room before the trips, percent of fill");
        double over = record.Known.OvertravelPercent;
        double X(double fill) => Left + ((Right - Left) * (fill + over + 3) / (100 + (2 * over) + 6));

        double from = result.Brake.BearsFrom.Value;
        if (result.Brake.Side == BrakeSide.Full && double.IsFinite(from))
            svg.Box(X(from), Top, X(100 + over) - X(from), Bottom - Top, "fill:url(#hatch);opacity:.45");
        foreach (int fill in new[] { 0, 25, 50, 75, 100 })
        {
            svg.Line(X(fill), Top, X(fill), Bottom, "stroke:#ccc;stroke-width:.5");
            svg.Words(X(fill), Bottom + 9, $"{fill}", "middle");
        }
        foreach (
            (double trip, string word, string anchor) in new[]
            {
                (-over, "trip", "start"),
                (100 + over, "trip", "end"),
            }
        )
        {
            svg.Line(X(trip), Top - 4, X(trip), Bottom, "stroke:#111;stroke-width:2");
            svg.Words(X(trip) + (anchor == "start" ? 3 : -3), Top - 5, $"{word} {Number(trip)} %", anchor);
        }
        double one = result.FillOf(run.P01);
        double other = result.FillOf(run.P99);
        Row(
            svg,
            "now",
            Top + 7,
            X,
            Math.Min(one, other),
            result.RunningFill,
            Math.Max(one, other),
            result.RunningFill + result.Target.Rise
        );
        double target = result.Target.Target.Value;
        double shift = target - result.RunningFill;
        Row(
            svg,
            "suggested",
            Top + 7 + RowHigh + 10,
            X,
            Math.Min(one, other) + shift,
            target,
            Math.Max(one, other) + shift,
            target + result.Target.Rise
        );
        svg.Words(
            Right,
            Height - 2,
            "% of fill; bar: running; line: a stop; hatched: brake",
            "end",
            "fill:#444"
        );
        return svg.ToString();
    }

    private static void Row(
        Svg svg,
        string name,
        double y,
        Func<double, double> x,
        double low,
        double middle,
        double high,
        double furthest
    )
    {
        svg.Words(Left - 4, y + 9, name, "end");
        svg.Line(x(high), y + (RowHigh / 2), x(furthest), y + (RowHigh / 2), "stroke:#111;stroke-width:1.5");
        svg.Line(x(furthest), y + 3, x(furthest), y + RowHigh - 3, "stroke:#111;stroke-width:1.5");
        svg.Box(x(low), y, x(high) - x(low), RowHigh, "fill:#bbb;stroke:#111;stroke-width:.6");
        svg.Line(x(middle), y - 2, x(middle), y + RowHigh + 2, "stroke:#111;stroke-width:1.8");
        svg.Words(
            x(Math.Max(high, furthest)) + 5,
            y + 9.5,
            $"{Number(middle)} %",
            style: "fill:#111;font-weight:bold"
        );
    }

    private static string Number(double value) => value.ToString("0", CultureInfo.InvariantCulture);
}
