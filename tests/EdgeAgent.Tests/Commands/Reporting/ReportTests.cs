using System.Text.Json;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EdgeAgent.Tests.Configuration;

namespace Dancerwatch.EdgeAgent.Tests.Commands.Reporting;

public sealed class ReportTests : IDisposable
{
    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-report-");

    public ReportTests()
    {
        File.WriteAllText(PathOf("config.jsonc"), SmallConfiguration.Text);
        using StreamWriter trace = File.CreateText(PathOf("trace.csv"));
        trace.WriteLine("time,gap,unwindSpeed");
        DateTimeOffset start = new(2026, 11, 25, 6, 0, 0, TimeSpan.Zero);
        for (int i = 0; i < 10_000; i++)
            trace.WriteLine(
                FormattableString.Invariant(
                    $"{start.AddMilliseconds(20 * i):yyyy-MM-ddTHH:mm:ss.fffZ},{2050 + (60 * Math.Sin(i / 8.0)):F0},200"
                )
            );
    }

    public void Dispose() => _directory.Delete(recursive: true);

    [Fact]
    public async Task A_trace_becomes_a_page_and_the_same_as_JSON()
    {
        ProgramRun run = await Report("--html", PathOf("out.html"), "--json", PathOf("out.json"));

        Assert.Equal((ExitCodes.Ok, ""), (run.Code, run.Code == ExitCodes.Ok ? "" : run.Error));
        Assert.StartsWith(
            "tea-1, 2026-11-25 06:00:00 to 2026-11-25 06:03:19 (UTC): ",
            run.Output,
            StringComparison.Ordinal
        );
        string json = await File.ReadAllTextAsync(PathOf("out.json"), TestContext.Current.CancellationToken);
        using JsonDocument document = JsonDocument.Parse(json);
        Assert.Equal("tea-1", document.RootElement.GetProperty("machine").GetString());
        Assert.Contains(
            json,
            await File.ReadAllTextAsync(PathOf("out.html"), TestContext.Current.CancellationToken),
            StringComparison.Ordinal
        );
    }

    [Fact]
    public async Task An_empty_period_is_told_in_one_sentence_and_nothing_is_written()
    {
        ProgramRun run = await Report("--html", PathOf("out.html"), "--day", "2026-11-24");

        Assert.Equal(ExitCodes.Usage, run.Code);
        Assert.Contains(
            $"There is no reading of tea-1 in day 2026-11-24: nothing was written. Name another --from and --to, or look at what {PathOf("trace.csv")} holds.",
            run.Error,
            StringComparison.Ordinal
        );
        Assert.False(File.Exists(PathOf("out.html")));
    }

    [Theory]
    [InlineData("--machine is \"tea-9\". Allowed: tea-1.", "--machine", "tea-9")]
    [InlineData("--from is \"noon\". Allowed: a date, with or without a time.", "--from", "noon")]
    [InlineData("--time-zone is \"Teatime\". Allowed: an IANA name.", "--time-zone", "Teatime")]
    [InlineData("Name one period", "--day", "2026-11-25", "--shift", "2026-11-25T06:00")]
    [InlineData("ends before it begins", "--from", "2026-11-25", "--to", "2026-11-24")]
    [InlineData("--roll must be a whole number from 1", "--roll", "0")]
    [InlineData("--roll is 7, and", "--roll", "7")]
    public async Task Wrong_usage_is_told(string complaint, params string[] more)
    {
        ProgramRun run = await Report([.. more, "--html", PathOf("out.html")]);

        Assert.Equal(ExitCodes.Usage, run.Code);
        Assert.Contains(complaint, run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_report_that_goes_nowhere_is_refused()
    {
        ProgramRun run = await Report();

        Assert.Equal(ExitCodes.Usage, run.Code);
        Assert.Contains("Name --html, --json or both", run.Error, StringComparison.Ordinal);
    }

    private Task<ProgramRun> Report(params string[] more) =>
        ProgramRun.Of([
            "report",
            "--config",
            PathOf("config.jsonc"),
            "--input",
            PathOf("trace.csv"),
            .. more.Contains("--machine") ? (string[])[] : ["--machine", "tea-1"],
            .. more,
        ]);

    private string PathOf(string name) => Path.Combine(_directory.FullName, name);
}
