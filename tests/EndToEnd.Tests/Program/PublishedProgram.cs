namespace Dancerwatch.EndToEnd.Tests.Program;

/// <summary>The native program, where one was made (packaging/program.sh) and DANCERWATCH_PROGRAM names it.</summary>
internal static class PublishedProgram
{
    /// <summary>Its path; skips the test where there is none.</summary>
    public static string Require() => Named("DANCERWATCH_PROGRAM", "packaging/program.sh");

    /// <summary>Path of its Debian package; skips the test where there is none.</summary>
    public static string RequirePackage() => Named("DANCERWATCH_PACKAGE", "packaging/deb.sh");

    /// <summary>Starts one of its commands.</summary>
    public static ToolProcess Start(params string[] arguments) => new(Require(), arguments);

    /// <summary>Runs one of its commands to its end.</summary>
    /// <returns>The exit code and all it said.</returns>
    public static async Task<(int Code, string Said)> RunAsync(params string[] arguments)
    {
        await using ToolProcess program = Start(arguments);
        IReadOnlyList<string> lines = await program.LinesToEndAsync(TestContext.Current.CancellationToken);
        return (program.ExitCode ?? -1, string.Join('\n', lines));
    }

    private static string Named(string variable, string maker)
    {
        string? path = Environment.GetEnvironmentVariable(variable);
        Assert.SkipWhen(
            string.IsNullOrEmpty(path),
            $"{variable} names no file: make one with {maker} and name its whole path"
        );
        Assert.True(File.Exists(path), $"{variable} is {path}, and that is not there");
        return path!;
    }
}
