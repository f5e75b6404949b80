using System.Text.Json;

namespace Dancerwatch.EdgeAgent.Tests.Commands;

public sealed class SettingsCommandTests
{
    [Fact]
    public async Task Every_number_in_force_is_told_machine_by_machine_written_templated_or_usual()
    {
        ProgramRun run = await ProgramRun.Of(
            "settings",
            "--config",
            RepositoryFiles.PathOf("config", "tea-works.jsonc")
        );

        Assert.Equal(0, run.Code);
        JsonElement[] lines =
        [
            .. run
                .Output.Split('\n', StringSplitOptions.RemoveEmptyEntries)
                .Select(line => JsonElement.Parse(line)),
        ];
        Assert.Equal(64, lines.Select(line => line.GetProperty("machine").GetString()).Distinct().Count());
        Assert.All(lines, line => Assert.Equal("tea-works", line.GetProperty("area").GetString()));
        // Of the template, of the loader's usual values, of the controller.
        Assert.Equal(1500, Value("dancer.storageMillimeters"));
        Assert.Equal("line-7", Line("dancer.storageMillimeters").GetProperty("line").GetString());
        Assert.Equal(5, Value("dancer.overtravelPercent"));
        Assert.Equal(8, Value("warnings.limit-approach.limitSeconds"));
        Assert.Equal(1, Value("signals.rollDiameter.scale"));
        Assert.Equal(20, Value("pollMilliseconds"));

        JsonElement Line(string setting) =>
            Assert.Single(
                lines,
                line =>
                    line.GetProperty("machine").GetString() == "tea-7"
                    && line.GetProperty("setting").GetString() == setting
            );
        double Value(string setting) => Line(setting).GetProperty("value").GetDouble();
    }

    [Fact]
    public async Task A_configuration_that_cannot_be_used_is_refused_and_nothing_is_printed()
    {
        string path = Path.GetTempFileName();
        await File.WriteAllTextAsync(
            path,
            """{ "site": "leafside", "area": 3 }""",
            TestContext.Current.CancellationToken
        );
        ProgramRun run = await ProgramRun.Of("settings", "--config", path);
        File.Delete(path);

        Assert.Equal(2, run.Code);
        Assert.Empty(run.Output);
        Assert.Contains("area", run.Error, StringComparison.Ordinal);
    }
}
