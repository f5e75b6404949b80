using System.Globalization;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.EndToEnd.Tests.Survey;

namespace Dancerwatch.EndToEnd.Tests.Demo;

/// <summary>A survey tried by anyone: the hall in one terminal with a hand at tea-1, the survey in another.</summary>
public sealed class HandAndSurveyTests
{
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    [Fact]
    public async Task What_the_hand_holds_in_one_terminal_is_measured_in_the_other()
    {
        using TemporaryFolder folder = new();
        string port = LoopbackPort.Free().ToString(CultureInfo.InvariantCulture);
        string hall = await File.ReadAllTextAsync(RepositoryFiles.PathOf("config", "tea-hall.jsonc"), s_end);
        await File.WriteAllTextAsync(
            folder.PathOf("hall.jsonc"),
            hall.Replace("44818", port, StringComparison.Ordinal),
            s_end
        );
        await using ToolProcess simulate = Program(
            "simulate",
            "--hand",
            "tea-1",
            "--controller-port",
            port,
            "--broker-port",
            "0"
        );
        await simulate.LineAsync(line => line.StartsWith("tea-1 stands and waits", StringComparison.Ordinal));
        await simulate.TypeAsync("full");
        await simulate.LineAsync(line => line == "tea-1: held at full.");

        await using ToolProcess survey = Program(
            "survey",
            "take",
            "--config",
            folder.PathOf("hall.jsonc"),
            "--machine",
            "tea-1",
            "--record",
            folder.PathOf("found.json")
        );
        await survey.LineAsync(line => line.StartsWith("Type yes", StringComparison.Ordinal));
        await survey.TypeAsync("yes");
        await survey.LineAsync(line => line.Contains("1. Held at full", StringComparison.Ordinal));
        await survey.TypeAsync("");
        await survey.LineAsync(line => line.Contains("Taken: gap 3", StringComparison.Ordinal));
        await survey.TypeAsync("q");
        await survey.LinesToEndAsync(s_end);

        Assert.Equal(ExitCodes.Interrupted, survey.ExitCode);
        await simulate.EndAsync(s_end);
    }

    private static ToolProcess Program(params string[] arguments) =>
        new("dotnet", [Path.Combine(AppContext.BaseDirectory, "dancerwatch.dll"), .. arguments]);
}
