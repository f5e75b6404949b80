using System.Text.RegularExpressions;
using Dancerwatch.EdgeAgent.Reports;
using Dancerwatch.EdgeAgent.Reports.Html;

namespace Dancerwatch.EdgeAgent.Tests.Reports;

public sealed partial class ReportHtmlTests
{
    [Fact]
    public void It_loads_nothing_from_anywhere()
    {
        string page = Page();

        // Links stand in the chart script's own heading and in names of SVG and MathML, never where something is loaded.
        Assert.DoesNotMatch(Loads(), page);
        Assert.Contains("default-src 'none'", page, StringComparison.Ordinal);
    }

    [Fact]
    public void The_licence_of_the_chart_script_goes_with_it() =>
        Assert.Contains("Permission is hereby granted, free of charge", Page(), StringComparison.Ordinal);

    [Fact]
    public void Units_and_time_zone_are_stated()
    {
        string page = Page();

        Assert.Contains("Times in UTC.", page, StringComparison.Ordinal);
        Assert.Contains("in % of fill, diameters in mm", page, StringComparison.Ordinal);
    }

    [Fact]
    public void A_name_with_markup_in_it_is_shown_as_it_is()
    {
        ReportFilm film = new();
        film.Run(120);
        MachineReport report = film.Finish()! with { Site = "</script><b>Mehta & Sons" };

        string page = ReportHtml.Of(report);

        Assert.Contains("&lt;/script&gt;&lt;b&gt;Mehta &amp; Sons", page, StringComparison.Ordinal);
        Assert.DoesNotContain("</script><b>", page, StringComparison.Ordinal);
    }

    private static string Page()
    {
        ReportFilm film = new();
        film.Trip(levelSeconds: 120);
        return ReportHtml.Of(film.Finish()!);
    }

    [GeneratedRegex("""(src|href)\s*=\s*["'](?!#)|@import|url\((?!data:)|fetch\(|XMLHttpRequest|WebSocket""")]
    private static partial Regex Loads();
}
