using Dancerwatch.EdgeAgent.Commands;

namespace Dancerwatch.EdgeAgent.Tests.Commands;

/// <summary>One command line, run in this process: its exit code and what it printed.</summary>
internal sealed record ProgramRun(int Code, string Output, string Error)
{
    public static async Task<ProgramRun> Of(params string[] args)
    {
        await using StringWriter output = new();
        await using StringWriter error = new();
        int code = await CommandLine.RunAsync(args, output, error, TestContext.Current.CancellationToken);
        return new ProgramRun(code, output.ToString(), error.ToString());
    }
}
