using System.Globalization;
using System.Net;
using System.Text;

namespace Dancerwatch.EdgeAgent.Reports.Html;

/// <summary>Pieces of HTML.</summary>
internal static class Tag
{
    public static string Text(string text) => WebUtility.HtmlEncode(text);

    /// <summary>A number; a dash where it is not known, a word where it has no end.</summary>
    public static string Number(double value, string format) =>
        double.IsNaN(value) ? "–"
        : double.IsInfinity(value) ? "no end"
        : value.ToString(format, CultureInfo.InvariantCulture);

    /// <summary>A section with a table that scrolls by itself where the page is narrow.</summary>
    /// <param name="rows">Cells as HTML.</param>
    /// <param name="none">What is said where there are no rows.</param>
    public static string Table(
        string title,
        IReadOnlyList<string> heads,
        IEnumerable<IReadOnlyList<string>> rows,
        string none
    )
    {
        StringBuilder body = new();
        foreach (IReadOnlyList<string> row in rows)
        {
            body.Append("<tr>");
            foreach (string cell in row)
                body.Append("<td>").Append(cell).Append("</td>");
            body.Append("</tr>\n");
        }
        string head = string.Concat(heads.Select(name => $"<th scope=\"col\">{Text(name)}</th>"));
        string content =
            body.Length == 0
                ? $"<p>{Text(none)}</p>"
                : $"<div class=\"wide\" tabindex=\"0\" role=\"group\" aria-label=\"{Text(title)}\"><table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>";
        return $"<section><h2>{Text(title)}</h2>{content}</section>";
    }

    /// <summary>Priority as shape, letter and colour, and as a word for who hears the page.</summary>
    public static string Priority(string priority) =>
        $"<span class=\"priority\"><span class=\"mark {priority}\" aria-hidden=\"true\">{char.ToUpperInvariant(priority[0])}</span><span>{priority}</span></span>";
}
