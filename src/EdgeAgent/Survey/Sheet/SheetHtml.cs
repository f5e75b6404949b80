using System.Globalization;
using System.Net;
using System.Text;
using Dancerwatch.Signals.Survey.Findings;
using Dancerwatch.Signals.Survey.Results;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.EdgeAgent.Survey.Sheet;

/// <summary>
/// A survey on one A4 page: a single HTML file with its style and drawings inside, which asks for nothing from anywhere.
/// Everything is told by words, shape and line, so that a grey print tells as much.
/// </summary>
internal static class SheetHtml
{
    // More than this many characters of findings need the smaller type to stay on the page.
    private const int LongFindings = 1000;
    private const int LongName = 16;
    private const int LongerFindings = 1400;

    public static string Of(SurveyRecord record)
    {
        SurveyResult result = SurveyResult.Of(record.Measures, record.Known);
        IReadOnlyList<SurveyFinding> findings = SurveyFindings.Of(result, record.Measures, record.Known);
        int length = findings.Sum(finding => finding.Text.Length);
        string density =
            length > LongerFindings ? "tiny"
            : length > LongFindings ? "small"
            : "";
        return $"""
            <!DOCTYPE html>
            <html lang="en">
            <head>
            <meta charset="utf-8">
            <meta name="viewport" content="width=device-width">
            <title>{Text($"Survey of {record.Machine}, {KindOf(record)}")}</title>
            <style>{SheetStyle.Css}</style>
            </head>
            <body class="{density}">
            {Head(record)}
            <main>
            <section class="numbers">{Numbers(result, record.Known)}</section>
            <section class="pictures">
            <h2>Fill by gap</h2>
            {FillChart.Of(record, result)}
            <h2>Room before the trips</h2>
            {RoomChart.Of(record, result)}
            <h2>Fill table</h2>
            {FillTable(result)}
            </section>
            </main>
            {Findings(findings)}
            {Foot(record)}
            </body>
            </html>

            """;
    }

    private static string Head(SurveyRecord record)
    {
        string finished = record.Finished is { } end
            ? end.UtcDateTime.ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture) + " UTC"
            : "NOT FINISHED";
        string by = record.By.Length > 0 ? $" by {record.By}" : "";
        string brake =
            record.Known.Brake == BrakeKind.Air ? "brake worked by air" : "brake linked by springs";
        string left =
            record.LeftOut.Count > 0
                ? $". Left out: {string.Join(", ", record.LeftOut.Select(step => StepText.Title(step).ToLowerInvariant()))}"
                : "";
        return $"""
            <header>
            <div><h1{(record.Machine.Length > LongName ? " class=\"long\"" : "")}>{Text(record.Machine)}</h1><p>{Text(
                $"{record.Site} / {record.Area} / {record.Line}"
            )}</p></div>
            <div class="kind"><strong>{Text($"Survey, {KindOf(record)}")}</strong>
            <p>{Text($"{finished}{by}; {brake}{left}")}</p></div>
            </header>
            """;
    }

    private static string Numbers(SurveyResult result, KnownMachine known)
    {
        StringBuilder table = new("<table>");
        foreach (ResultGroup group in ResultRows.Groups(result, known))
        {
            table.Append(
                CultureInfo.InvariantCulture,
                $"<tbody><tr><th colspan=\"2\">{Text(group.Name)}</th></tr>"
            );
            foreach (ResultRow row in group.Rows)
            {
                string remark = row.Remark.Length > 0 ? $"<small>{Text(row.Remark)}</small>" : "";
                table.Append(
                    CultureInfo.InvariantCulture,
                    $"<tr><td>{Text(row.Name)}{remark}</td><td>{Text(row.Text)}</td></tr>"
                );
            }
            table.Append("</tbody>");
        }
        return table.Append("</table>").ToString();
    }

    private static string FillTable(SurveyResult result)
    {
        if (!result.Cam.IsKnown)
            return "<p class=\"missing\">No film was metered: the cam is taken as straight.</p>";
        StringBuilder gaps = new();
        StringBuilder straight = new();
        StringBuilder real = new();
        for (int percent = 0; percent <= 100; percent += 10)
        {
            double gap = result.GapAtEmpty.Value + (result.Span.Value * percent / 100);
            gaps.Append(CultureInfo.InvariantCulture, $"<td>{gap:0}</td>");
            straight.Append(CultureInfo.InvariantCulture, $"<td>{percent}</td>");
            real.Append(CultureInfo.InvariantCulture, $"<td>{result.Cam.TruePercent(percent):0.0}</td>");
        }
        return $"""
            <table class="fill">
            <tr><th>gap, counts</th>{gaps}</tr>
            <tr><th>straight, %</th>{straight}</tr>
            <tr><th>true, %</th>{real}</tr>
            </table>
            """;
    }

    private static string Findings(IReadOnlyList<SurveyFinding> findings)
    {
        if (findings.Count == 0)
            return "<section class=\"findings\"><h2>What to do</h2><p>Nothing: all is as it should be.</p></section>";
        StringBuilder list = new("<section class=\"findings\"><h2>What to do</h2><ol>");
        foreach (SurveyFinding finding in findings)
        {
            (string kind, string word) = finding.Weight switch
            {
                FindingWeight.Halt => ("halt", "DO NOT RUN"),
                FindingWeight.Enter => ("enter", "ENTER"),
                _ => ("look", "LOOK"),
            };
            list.Append(
                CultureInfo.InvariantCulture,
                $"<li class=\"{kind}\"><b>{word}</b><span>{Text(finding.Text)}</span></li>"
            );
        }
        return list.Append("</ol></section>").ToString();
    }

    private static string Foot(SurveyRecord record) =>
        $"""
            <footer>
            <div class="sign"><span>Entered at the machine's own panel by</span><span>Date</span><span>Seen by</span></div>
            <p>A value ± its half-width covers the true one in 95 of 100 surveys (JCGM 100:2008); the marks the dancer was held at
            count as exact, film as the unwind's speed meters it. Begun {Text(
                record.Begun.UtcDateTime.ToString("yyyy-MM-dd HH:mm", CultureInfo.InvariantCulture)
            )} UTC. The survey only read; it changed nothing in the machine.
            Hands near dancer, brake or roll only locked out by the site's procedure.</p>
            </footer>
            """;

    private static string KindOf(SurveyRecord record) =>
        record.Kind == SurveyKind.AsFound ? "as found" : "as left";

    private static string Text(string text) => WebUtility.HtmlEncode(text);
}
