using Dancerwatch.EdgeAgent.Reports.Html;
using Dancerwatch.EdgeAgent.Tests.Reports;
using Dancerwatch.EndToEnd.Tests.Survey;

namespace Dancerwatch.EndToEnd.Tests.Pages;

/// <summary>The report in a real browser.</summary>
public sealed class ReportPageTests
{
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    [Fact]
    public async Task Its_charts_are_drawn_it_asks_for_nothing_and_anybody_can_use_it()
    {
        ReportFilm film = new(change: 700);
        for (int i = 0; i < 3; i++)
            film.Trip(levelSeconds: 400);
        using TemporaryFolder folder = new();
        string file = folder.PathOf("report.html");
        await File.WriteAllTextAsync(file, ReportHtml.Of(film.Finish()!), s_end);

        IReadOnlyList<Looked> looked = await Looked.AtAsync($"file://{file}", folder.PathOf(""), s_end);
        Looked.Keep(folder.PathOf(""), "report");

        Assert.All(
            looked,
            seen =>
            {
                Assert.Empty(seen.Errors);
                Assert.Equal([$"file://{file}"], seen.Requests);
                Assert.Empty(seen.Violations);
                Assert.Equal(["fill", "margin", "oscillation"], seen.Pixels.Keys.Order());
                // A canvas on which nothing was drawn has none.
                Assert.All(seen.Pixels.Values, pixels => Assert.InRange(pixels, 1_000, 10_000_000));
                Assert.Equal(0, seen.TooWide);
                Assert.Equal(0, seen.TooWideOnPaper);
                Assert.InRange(seen.Sheets, 1, 3);
                Assert.Contains("3 of 3", seen.Text, StringComparison.Ordinal);
            }
        );
    }
}
