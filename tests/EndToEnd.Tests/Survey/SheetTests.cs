using System.Text;
using System.Text.RegularExpressions;
using Dancerwatch.EdgeAgent.Survey;
using Dancerwatch.EdgeAgent.Survey.Sheet;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.EndToEnd.Tests.Survey;

/// <summary>The sheet, printed by a real browser.</summary>
public sealed partial class SheetTests
{
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    [Theory]
    [InlineData(3005, "")]
    [InlineData(3009, "steps left out")]
    [InlineData(3016, "everything wrong")]
    public async Task It_is_one_page_of_A4(int seed, string kind)
    {
        string chromium = ToolProcess.Require("chromium");
        SurveyRecord record = await RecordAsync(seed, kind);
        using TemporaryFolder folder = new();
        await File.WriteAllTextAsync(folder.PathOf("sheet.html"), SheetHtml.Of(record), s_end);

        string pdf = folder.PathOf("sheet.pdf");
        await using ToolProcess print = new(
            chromium,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--disable-quic",
            "--no-first-run",
            "--disable-background-networking",
            "--disable-component-update",
            "--disable-sync",
            $"--user-data-dir={folder.PathOf("profile")}",
            "--no-pdf-header-footer",
            $"--print-to-pdf={pdf}",
            $"file://{folder.PathOf("sheet.html")}"
        );
        await print.LinesToEndAsync(s_end);

        if (Environment.GetEnvironmentVariable("DANCERWATCH_SHEETS") is { } kept)
        {
            Directory.CreateDirectory(kept);
            RecordFile.Save(Path.Combine(kept, $"{seed}.json"), record);
            File.Copy(pdf, Path.Combine(kept, $"{seed}.pdf"), overwrite: true);
            File.Copy(folder.PathOf("sheet.html"), Path.Combine(kept, $"{seed}.html"), overwrite: true);
        }

        string content = Encoding.Latin1.GetString(await File.ReadAllBytesAsync(pdf, s_end));
        Assert.Single(Page().Matches(content));
        // 210 x 297 mm in points.
        Match box = MediaBox().Match(content);
        Assert.InRange(double.Parse(box.Groups[1].Value, null), 594, 597);
        Assert.InRange(double.Parse(box.Groups[2].Value, null), 840, 843);
    }

    [Fact]
    public async Task It_asks_for_nothing_from_anywhere()
    {
        string sheet = SheetHtml.Of(await RecordAsync(3005, ""));

        Assert.DoesNotContain("http", sheet, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("<script", sheet, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("<link", sheet, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("@import", sheet, StringComparison.OrdinalIgnoreCase);
        Assert.DoesNotContain("NaN", sheet, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_name_with_markup_in_it_is_shown_as_it_is()
    {
        SurveyRecord record = await RecordAsync(3005, "");

        string sheet = SheetHtml.Of(record with { By = "<b>Mehta & Sons</b>" });

        Assert.Contains("&lt;b&gt;Mehta &amp; Sons&lt;/b&gt;", sheet, StringComparison.Ordinal);
    }

    private static async Task<SurveyRecord> RecordAsync(int seed, string kind)
    {
        await using SurveyedMachine surveyed = new(
            TwentyMachinesTests.Draw(seed),
            seed,
            one => new ScriptedPerson(one.Dancer, one.Time)
            {
                Answers = (step, _) =>
                    kind == "steps left out" && step is SurveyStep.Travel or SurveyStep.Run
                        ? Answer.LeaveOut
                        : null,
            }
        );
        SurveyRecord record = await surveyed.SurveyAsync(s_end);
        if (kind != "everything wrong")
            return record with { By = "R. Mehta" };
        // Results that are off in every way the sheet can tell of at once.
        Travel travel = record.Measures.Travel!;
        return record with
        {
            Machine = "tea-packing-line-with-a-long-name-16",
            By = "a person with quite a long name, and a second one",
            Known = record.Known with
            {
                GapAtFull = record.Known.GapAtFull + 300,
                GapAtEmpty = record.Known.GapAtEmpty - 300,
                StorageMillimeters = 99_999,
                TargetPercent = 80,
            },
            Measures = record.Measures with
            {
                Travel = travel with { PinnedLowShare = 0.2, PinnedHighShare = 0.2 },
                HalfFromAbove = record.Measures.HalfFromBelow! with
                {
                    Gap = new(record.Measures.HalfFromBelow.Gap.Value + 100, 1),
                    Noise = 30,
                },
                FromFull = new Start(record.Measures.Run is null ? [] : travel.Up, Tripped: true),
            },
        };
    }

    [GeneratedRegex(@"/Type\s*/Page[^s]")]
    private static partial Regex Page();

    [GeneratedRegex(@"/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)")]
    private static partial Regex MediaBox();
}
