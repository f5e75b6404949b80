using System.Globalization;
using System.Text;

namespace Dancerwatch.EdgeAgent.Survey.Sheet;

/// <summary>Lines, boxes and words of a drawing. Lengths in its own units.</summary>
internal sealed class Svg(double width, double height, string title)
{
    private readonly StringBuilder _body = new();

    public void Line(
        double x1,
        double y1,
        double x2,
        double y2,
        string style = "stroke:#111;stroke-width:.5"
    ) =>
        Add($"<line x1=\"{x1:0.##}\" y1=\"{y1:0.##}\" x2=\"{x2:0.##}\" y2=\"{y2:0.##}\" style=\"{style}\"/>");

    public void Box(double x, double y, double wide, double high, string style) =>
        Add(
            $"<rect x=\"{x:0.##}\" y=\"{y:0.##}\" width=\"{Math.Max(0, wide):0.##}\" height=\"{Math.Max(0, high):0.##}\" style=\"{style}\"/>"
        );

    public void Curve(IEnumerable<(double X, double Y)> points, string style)
    {
        string path = string.Join(
            ' ',
            points.Select(point =>
                string.Create(CultureInfo.InvariantCulture, $"{point.X:0.##},{point.Y:0.##}")
            )
        );
        Add($"<polyline points=\"{path}\" style=\"fill:none;{style}\"/>");
    }

    public void Words(double x, double y, string text, string anchor = "start", string style = "fill:#111") =>
        Add($"<text x=\"{x:0.##}\" y=\"{y:0.##}\" text-anchor=\"{anchor}\" style=\"{style}\">{text}</text>");

    /// <summary>The drawing, with diagonal hatching to be had as <c>url(#hatch)</c>.</summary>
    public override string ToString() =>
        string.Create(
            CultureInfo.InvariantCulture,
            $"""
            <svg viewBox="0 0 {width} {height}" role="img" aria-label="{title}">
            <defs><pattern id="hatch" width="4" height="4" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><line x1="0" y1="0" x2="0" y2="4" style="stroke:#777;stroke-width:1"/></pattern></defs>
            {_body}
            </svg>
            """
        );

    private void Add(FormattableString element) =>
        _body.Append(element.ToString(CultureInfo.InvariantCulture)).Append('\n');
}
