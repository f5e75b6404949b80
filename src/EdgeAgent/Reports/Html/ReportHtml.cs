using System.Globalization;
using System.Text;
using Dancerwatch.EdgeAgent.Web;

namespace Dancerwatch.EdgeAgent.Reports.Html;

/// <summary>
/// A report as one HTML file with its style, charts and numbers inside, which asks for nothing from anywhere and is told so by a
/// content security policy. Without script all but the charts is there.
/// </summary>
internal static class ReportHtml
{
    public static string Of(MachineReport report)
    {
        ReportWords words = new(report);
        StringBuilder page = new();
        page.Append(
            CultureInfo.InvariantCulture,
            $"""
            <!DOCTYPE html>
            <html lang="en">
            <head>
            <meta charset="utf-8">
            <meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; script-src 'unsafe-inline'; img-src data:">
            <meta name="viewport" content="width=device-width, initial-scale=1">
            <title>{Tag.Text($"{report.Machine}, {words.Period}")}</title>
            <style>{WebAsset.Text("ground.css")}{WebAsset.ChartStyle}{WebAsset.Text(
                "report/report.css"
            )}</style>
            </head>
            <body>
            <header>
            <div><h1>{Tag.Text(report.Machine)}</h1>
            <p class="soft">{Tag.Text($"{report.Site}, {report.Area}, {report.Line}")}</p></div>
            <div><p><strong>{Tag.Text(words.Period)}</strong></p>
            <p class="soft">{Tag.Text(words.Units)}</p></div>
            </header>
            <main>
            {words.Facts()}
            {Change(report, words)}
            {Chart(
                "margin",
                "Margin to both trips",
                "Distance from the edge of each minute's band (1 % and 99 %) to the trip on that side. A triangle with a line is a trip."
            )}
            {Chart(
                "fill",
                "Fill",
                "Each minute's band from 1 % to 99 % with its median; target and trip levels dotted."
            )}
            {Chart(
                "oscillation",
                "Regular movement against roll diameter",
                "Circle: the machine's own cycle. Square: turns of the roll. Triangle: the unwind's control. Cross: nothing known that turns at this rate. Against time where the diameter is not known."
            )}
            <div class="pair">
            {ReportTables.Causes(report)}
            {ReportTables.Trips(report, words)}
            </div>
            {ReportTables.Warnings(report, words)}
            {ReportTables.Stops(report, words)}
            {ReportTables.LeftOut(report)}
            </main>
            <footer><p class="soft">Lead is counted from the first warning on the trip's side that was raised after the last start. Hours
            between trips: exact 95 % interval for trips that come each by itself. Causes are the first named at trips and in warnings.
            Guards and interlocks stay as they are: look at a machine only as the site's procedure allows.</p></footer>
            <script type="application/json" id="report">{ReportJson.Of(report)}</script>
            <script>{WebAsset.ChartScript}</script>
            <script>{WebAsset.Text("report/report.js")}</script>
            </body>
            </html>

            """
        );
        return page.ToString();
    }

    private static string Chart(string id, string title, string says) =>
        $"""
            <section aria-labelledby="{id}-title"><h2 id="{id}-title">{Tag.Text(title)}</h2>
            <div class="chart" id="{id}" role="img" aria-label="{Tag.Text(
                $"{title}. {says} The numbers are in the tables and in the JSON."
            )}"></div>
            <p class="soft">{Tag.Text(says)}</p></section>
            """;

    private static string Change(MachineReport report, ReportWords words) =>
        report.Change is not { } change
            ? ""
            : $"""
                <section aria-labelledby="change-title"><h2 id="change-title">Before and after {Tag.Text(
                    words.Time(change.Time)
                )}</h2>
                <p class="verdict">{Tag.Text(change.Verdict)}</p>
                {ReportTables.Change(change)}
                <p class="soft">Trips: exact conditional test of two Poisson rates (binomial given the sum), two-sided, with Clopper and
                Pearson's interval. Margins: test of Mann and Whitney on the medians of running hours, two-sided, normal approximation with
                corrections for ties and continuity. Both take trips, and hours, to be independent of each other; where one brings the next,
                they claim too much.</p></section>
                """;
}
