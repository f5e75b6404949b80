using Dancerwatch.EdgeAgent.Commands;

namespace Dancerwatch.EdgeAgent.Tests.Commands;

public sealed class CommandLineTests
{
    [Fact]
    public async Task Help_lists_every_exit_code()
    {
        ProgramRun run = await ProgramRun.Of("--help");

        Assert.Equal(ExitCodes.Ok, run.Code);
        foreach (int code in new[] { 0, 1, 2, 3, 4, 70, 130 })
            Assert.Contains($"\n  {code} ", run.Output, StringComparison.Ordinal);
    }

    [Fact]
    public async Task A_word_that_is_no_command_is_wrong_usage_and_is_named()
    {
        ProgramRun run = await ProgramRun.Of("brew");

        Assert.Equal(ExitCodes.Usage, run.Code);
        Assert.Contains("'brew'", run.Error, StringComparison.Ordinal);
        Assert.Contains("dancerwatch --help", run.Error, StringComparison.Ordinal);
        Assert.Empty(run.Output);
    }

    [Fact]
    public async Task The_version_is_told()
    {
        ProgramRun run = await ProgramRun.Of("--version");

        Assert.Equal(ExitCodes.Ok, run.Code);
        Assert.Matches(@"^\d+\.\d+\.\d+", run.Output);
    }
}
