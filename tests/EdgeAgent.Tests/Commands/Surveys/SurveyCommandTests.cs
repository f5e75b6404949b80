using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EdgeAgent.Survey;
using Dancerwatch.EdgeAgent.Tests.Hosting;
using Dancerwatch.EdgeAgent.Tests.Survey;

namespace Dancerwatch.EdgeAgent.Tests.Commands.Surveys;

public sealed class SurveyCommandTests : IDisposable
{
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-survey-");

    public void Dispose() => _directory.Delete(recursive: true);

    [Fact]
    public async Task A_machine_that_is_not_configured_is_named_with_those_that_are()
    {
        await using TestHall hall = new("tea");

        ProgramRun run = await TakeAsync(hall, "tea-9", Of("new.json"));

        Assert.Equal(ExitCodes.Usage, run.Code);
        Assert.Contains("\"tea-9\"", run.Error, StringComparison.Ordinal);
        Assert.Contains("tea-1", run.Error, StringComparison.Ordinal);
        Assert.False(File.Exists(Of("new.json")));
    }

    [Fact]
    public async Task A_gap_that_is_no_number_is_told_and_nothing_is_begun()
    {
        await using TestHall hall = new("tea");
        hall.Lose(1);

        ProgramRun run = await TakeAsync(hall, "tea-1", Of("new.json"));

        Assert.Equal(ExitCodes.Unreachable, run.Code);
        Assert.Contains("M1.DancerGap", run.Error, StringComparison.Ordinal);
        Assert.Contains("Nothing was begun", run.Error, StringComparison.Ordinal);
        Assert.False(File.Exists(Of("new.json")));
    }

    [Theory]
    [InlineData("tea-1", true, "is finished")]
    [InlineData("tea-7", false, "a record of tea-7")]
    [InlineData("tea-1", false, "are others than when this survey was begun")]
    public async Task A_record_that_cannot_be_gone_on_with_is_left_as_it_is(
        string machine,
        bool isFinished,
        string says
    )
    {
        await using TestHall hall = new("tea");
        SurveyRecord record = SurveyRecords.Of(machine, isFinished: isFinished);
        RecordFile.Save(Of("old.json"), record with { Known = record.Known with { TargetPercent = 41 } });
        byte[] before = await File.ReadAllBytesAsync(Of("old.json"), s_end);

        ProgramRun run = await TakeAsync(hall, "tea-1", Of("old.json"));

        Assert.Equal(ExitCodes.Usage, run.Code);
        Assert.Contains(says, run.Error, StringComparison.Ordinal);
        Assert.Equal(before, await File.ReadAllBytesAsync(Of("old.json"), s_end));
    }

    [Fact]
    public async Task A_file_that_is_no_record_is_told_and_left_as_it_is()
    {
        await using TestHall hall = new("tea");
        await File.WriteAllTextAsync(Of("notes.json"), "{}", s_end);

        ProgramRun run = await TakeAsync(hall, "tea-1", Of("notes.json"));

        Assert.Equal(ExitCodes.File, run.Code);
        Assert.Contains("is no survey record", run.Error, StringComparison.Ordinal);
        Assert.Equal("{}", await File.ReadAllTextAsync(Of("notes.json"), s_end));
    }

    [Fact]
    public async Task Two_surveys_are_compared_and_a_change_that_matters_is_a_finding()
    {
        RecordFile.Save(Of("found.json"), SurveyRecords.Of("tea-1"));
        RecordFile.Save(Of("left.json"), SurveyRecords.Of("tea-1", gapAtFull: 3560));

        ProgramRun same = await ProgramRun.Of("survey", "compare", Of("found.json"), Of("found.json"));
        ProgramRun other = await ProgramRun.Of("survey", "compare", Of("found.json"), Of("left.json"));

        Assert.Equal(ExitCodes.Ok, same.Code);
        Assert.Contains("Nothing changed that matters.", same.Output, StringComparison.Ordinal);
        Assert.Equal(ExitCodes.Findings, other.Code);
        Assert.Matches(
            @"gap at full +3500\.0 ± 1\.\d +3560\.0 ± 1\.\d +\+60\.0 counts +CHANGED, and it matters",
            other.Output
        );
    }

    [Fact]
    public async Task Surveys_of_two_machines_are_not_compared()
    {
        RecordFile.Save(Of("one.json"), SurveyRecords.Of("tea-1"));
        RecordFile.Save(Of("two.json"), SurveyRecords.Of("tea-2"));

        ProgramRun run = await ProgramRun.Of("survey", "compare", Of("one.json"), Of("two.json"));

        Assert.Equal(ExitCodes.Usage, run.Code);
        Assert.Contains("tea-1 and tea-2", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task An_unfinished_record_makes_a_sheet_that_says_so()
    {
        RecordFile.Save(Of("half.json"), SurveyRecords.Of("tea-1"));

        ProgramRun run = await ProgramRun.Of("survey", "sheet", Of("half.json"), "--sheet", Of("half.html"));

        Assert.Equal(ExitCodes.Ok, run.Code);
        string sheet = await File.ReadAllTextAsync(Of("half.html"), s_end);
        Assert.Contains("NOT FINISHED", sheet, StringComparison.Ordinal);
        Assert.DoesNotContain("NaN", sheet, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_record_that_is_not_there_is_a_file_that_could_not_be_read()
    {
        ProgramRun run = await ProgramRun.Of("survey", "sheet", Of("none.json"), "--sheet", Of("none.html"));

        Assert.Equal(ExitCodes.File, run.Code);
        Assert.Contains("none.json", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_word_that_is_no_step_points_at_the_help_of_survey()
    {
        ProgramRun run = await ProgramRun.Of("survey", "brew");

        Assert.Equal(ExitCodes.Usage, run.Code);
        Assert.Contains("'dancerwatch survey --help'", run.Error, StringComparison.Ordinal);
    }

    private string Of(string name) => Path.Combine(_directory.FullName, name);

    private async Task<ProgramRun> TakeAsync(TestHall hall, string machine, string record)
    {
        await File.WriteAllTextAsync(Of("hall.jsonc"), hall.Configuration(), s_end);
        return await ProgramRun.Of(
            "survey",
            "take",
            "--config",
            Of("hall.jsonc"),
            "--machine",
            machine,
            "--record",
            record
        );
    }
}
