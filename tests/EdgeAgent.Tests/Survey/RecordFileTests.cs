using System.Text.Json;
using Dancerwatch.EdgeAgent.Survey;
using Dancerwatch.Signals.Survey.Steps;

namespace Dancerwatch.EdgeAgent.Tests.Survey;

public sealed class RecordFileTests : IDisposable
{
    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-survey-");

    private string Path => System.IO.Path.Combine(_directory.FullName, "tea-1.json");

    public void Dispose() => _directory.Delete(recursive: true);

    [Fact]
    public void What_is_saved_is_read_again_and_what_is_not_known_is_null_in_between()
    {
        SurveyRecord record = SurveyRecords.Of("tea-1");

        RecordFile.Save(Path, record);
        SurveyRecord read = RecordFile.Load(Path);

        Assert.Equal(record.Known, read.Known);
        Assert.Equal(record.Measures.Full, read.Measures.Full);
        Assert.Equal(record.Measures.FromFull!.Blocks, read.Measures.FromFull!.Blocks);
        Assert.Equal(record.LeftOut, read.LeftOut);
        Assert.Equal((record.Begun, record.Finished), (read.Begun, read.Finished));
        Assert.Equal(SurveyStep.HoldHalfFromAbove, read.Next);
        using JsonDocument json = JsonDocument.Parse(File.ReadAllText(Path));
        JsonElement known = json.RootElement.GetProperty("known");
        Assert.Equal(JsonValueKind.Null, known.GetProperty("storageMillimeters").ValueKind);
        Assert.Equal("Air", known.GetProperty("brake").GetString());
        Assert.Equal(
            1.25,
            json.RootElement.GetProperty("measures")
                .GetProperty("full")
                .GetProperty("gap")
                .GetProperty("plus")
                .GetDouble()
        );
    }

    [Fact]
    public void A_save_that_fails_leaves_the_old_record_as_it_was()
    {
        RecordFile.Save(Path, SurveyRecords.Of("tea-1"));
        byte[] before = File.ReadAllBytes(Path);

        Assert.Throws<IOException>(() =>
            RecordFile.Replace(
                Path,
                stream =>
                {
                    stream.Write("{ \"half"u8);
                    throw new IOException("No space left on device");
                }
            )
        );

        Assert.Equal(before, File.ReadAllBytes(Path));
    }

    [Theory]
    [InlineData("", "is no survey record")]
    [InlineData("null", "is no survey record")]
    [InlineData("{ \"format\": \"dancerwatch survey 1\", \"mach", "is no survey record")]
    [InlineData("{ \"temperature\": 20 }", "is no survey record")]
    public void A_file_that_is_no_record_is_named_and_not_touched(string text, string says)
    {
        File.WriteAllText(Path, text);

        FormatException thrown = Assert.Throws<FormatException>(() => RecordFile.Load(Path));

        Assert.Contains(says, thrown.Message, StringComparison.Ordinal);
        Assert.Contains(Path, thrown.Message, StringComparison.Ordinal);
        Assert.Equal(text, File.ReadAllText(Path));
    }

    [Fact]
    public void A_record_of_another_format_is_refused_with_both_named()
    {
        RecordFile.Save(Path, SurveyRecords.Of("tea-1") with { Format = "dancerwatch survey 9" });

        FormatException thrown = Assert.Throws<FormatException>(() => RecordFile.Load(Path));

        Assert.Contains("dancerwatch survey 9", thrown.Message, StringComparison.Ordinal);
        Assert.Contains(SurveyRecord.CurrentFormat, thrown.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void A_machine_is_the_same_though_its_numbers_were_rounded_in_the_file()
    {
        KnownMachine seen = SurveyRecords.Of("tea-1").Known with { TargetPercent = 44.70000076293945 };
        RecordFile.Save(Path, SurveyRecords.Of("tea-1") with { Known = seen });

        KnownMachine read = RecordFile.Load(Path).Known;

        Assert.Equal(RecordFile.TextOf(seen), RecordFile.TextOf(read));
    }
}
