using System.Globalization;
using Dancerwatch.Signals.Survey.Results;

namespace Dancerwatch.EdgeAgent.Survey.Sheet;

/// <summary>Fill against gap, as metered on the way up, beside the straight line through the ends; and where the brake bears.</summary>
internal static class FillChart
{
    private const double Width = 300;
    private const double Height = 174;
    private const double Left = 38;
    private const double Right = 292;
    private const double Top = 8;
    private const double Bottom = 148;
    private const double LowestFill = -20;
    private const double HighestFill = 120;

    public static string Of(SurveyRecord record, SurveyResult result)
    {
        if (!result.GapAtFull.IsKnown || !result.GapAtEmpty.IsKnown)
            return "<p class=\"missing\">The dancer was not held at both ends.</p>";
        Svg svg = new(Width, Height, "Fill in percent against gap in counts");
        double near = Math.Min(result.GapAtFull.Value, result.GapAtEmpty.Value);
        double far = Math.Max(result.GapAtFull.Value, result.GapAtEmpty.Value);
        double room = (far - near) * 0.2;
        double X(double gap) => Left + ((Right - Left) * (gap - near + room) / (far - near + (2 * room)));
        double Y(double fill) => Bottom - ((Bottom - Top) * (fill - LowestFill) / (HighestFill - LowestFill));

        DrawBrake(svg, result.Brake, Y);
        foreach (int fill in new[] { 0, 25, 50, 75, 100 })
        {
            svg.Line(
                Left,
                Y(fill),
                Right,
                Y(fill),
                fill is 0 or 100 ? "stroke:#777;stroke-width:.6" : "stroke:#ccc;stroke-width:.5"
            );
            svg.Words(Left - 4, Y(fill) + 3, $"{fill} %", "end");
        }
        svg.Line(Left, Bottom, Right, Bottom);
        svg.Curve(
            [(X(result.GapAtEmpty.Value), Y(0)), (X(result.GapAtFull.Value), Y(100))],
            "stroke:#777;stroke-width:1;stroke-dasharray:4 3"
        );
        if (result.Cam.IsKnown && record.Measures.Travel is { } travel)
        {
            svg.Curve(
                travel.Up.Select(block => (X(block.Gap), Y(result.FillOf(block.Gap)))),
                "stroke:#111;stroke-width:1.6;stroke-linejoin:round"
            );
        }
        Mark(svg, X(result.GapAtEmpty.Value), Y(0), result.GapAtEmpty.Value, "empty");
        Mark(svg, X(result.GapAtFull.Value), Y(100), result.GapAtFull.Value, "full");
        if (record.Measures.Travel is { } whole)
        {
            svg.Line(
                X(whole.LowestGap),
                Bottom - 6,
                X(whole.LowestGap),
                Bottom + 3,
                "stroke:#111;stroke-width:1.2"
            );
            svg.Words(X(whole.LowestGap), Bottom + 22, $"{Number(whole.LowestGap)} lowest", "middle");
        }
        svg.Words(Right, Height - 3, "gap, counts; dashed: straight cam", "end", "fill:#444");
        return svg.ToString();
    }

    private static void DrawBrake(Svg svg, BrakeFinding brake, Func<double, double> y)
    {
        double from = double.IsFinite(brake.BearsFrom.Value) ? brake.BearsFrom.Value : brake.LetsGoAt.Value;
        if (!double.IsFinite(from) || brake.Side is not (BrakeSide.Full or BrakeSide.Empty))
            return;
        double top = brake.Side == BrakeSide.Full ? HighestFill : from;
        double bottom = brake.Side == BrakeSide.Full ? from : LowestFill;
        svg.Box(Left, y(top), Right - Left, y(bottom) - y(top), "fill:url(#hatch);opacity:.45");
        svg.Words(
            Left + 4,
            y(top) + 9,
            "the brake holds here",
            style: "fill:#111;paint-order:stroke;stroke:#fff;stroke-width:3"
        );
    }

    private static void Mark(Svg svg, double x, double y, double gap, string end)
    {
        svg.Box(x - 2.2, y - 2.2, 4.4, 4.4, "fill:#fff;stroke:#111;stroke-width:1.2");
        svg.Line(x, Bottom - 3, x, Bottom + 3);
        svg.Words(x, Bottom + 12, $"{Number(gap)} {end}", "middle", "fill:#111;font-weight:bold");
    }

    private static string Number(double gap) => gap.ToString("0", CultureInfo.InvariantCulture);
}
