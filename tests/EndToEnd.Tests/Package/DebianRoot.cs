namespace Dancerwatch.EndToEnd.Tests.Package;

/// <summary>
/// A clean Debian in a folder, and booted: its systemd runs as the first process of namespaces of its own (boot.sh), so that
/// a unit is started there as on a computer of its own. It shares the network with the tests.
/// </summary>
internal sealed class DebianRoot : IAsyncDisposable
{
    /// <summary>The oldest release the program is for.</summary>
    private const string Release = "bookworm";

    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-root-");
    private ToolProcess? _boot;

    private DebianRoot() { }

    /// <summary>Its first process, by its number out here.</summary>
    public int Init { get; private set; }

    /// <summary>Makes and boots one; skips the test where that cannot be done.</summary>
    /// <param name="packages">Packages besides the least there can be.</param>
    public static async Task<DebianRoot> BootAsync(params string[] packages)
    {
        Assert.SkipUnless(Environment.UserName == "root", "Only root can make and boot a Debian root.");
        string make = ToolProcess.Require("mmdebstrap");
        DebianRoot root = new();
        string include = $"--include={string.Join(',', packages)}";
        await using (
            ToolProcess making = new(make, "--quiet", "--variant=minbase", include, Release, root.PathOf(""))
        )
        {
            IReadOnlyList<string> said = await making.LinesToEndAsync(TestContext.Current.CancellationToken);
            Assert.SkipUnless(making.ExitCode == 0, $"No Debian root: {string.Join('\n', said.TakeLast(5))}");
        }
        await root.BootAsync();
        return root;
    }

    /// <summary>A file of it, by its name there without the first slash.</summary>
    public string PathOf(string file) => Path.Combine(_directory.FullName, file);

    /// <summary>Runs a command in it to its end.</summary>
    /// <returns>Exit code, and all it said, on both streams.</returns>
    public async Task<(int Code, string Said)> RunAsync(params string[] command)
    {
        string[] enter = ["-t", $"{Init}", "-m", "-p", "-u", "-i", "-C", "--"];
        await using ToolProcess inside = new("nsenter", [.. enter, .. command]);
        IReadOnlyList<string> said = await inside.LinesToEndAsync(TestContext.Current.CancellationToken);
        return (inside.ExitCode ?? -1, string.Join('\n', said));
    }

    /// <summary>Runs a command that must go well, and returns what it said.</summary>
    public async Task<string> DoAsync(params string[] command)
    {
        (int code, string said) = await RunAsync(command);
        Assert.True(code == 0, $"{string.Join(' ', command)}: {code}\n{said}");
        return said;
    }

    /// <summary>The main process of a service of it, by its number out here.</summary>
    public int ProcessOf(string program) =>
        ProcessTable.Children(Init).Single(process => ProcessTable.Executable(process) == program);

    /// <summary>Every file, link and folder of it, from the first slash on.</summary>
    public async Task<IReadOnlySet<string>> FilesAsync()
    {
        // Not by the framework's enumeration, which goes where links lead.
        await using ToolProcess find = new("find", PathOf(""), "-printf", "/%P\\n");
        return (await find.LinesToEndAsync(TestContext.Current.CancellationToken)).ToHashSet();
    }

    public async ValueTask DisposeAsync()
    {
        if (_boot is not null)
        {
            await _boot.EndAsync(CancellationToken.None);
            await _boot.DisposeAsync();
        }
        _directory.Delete(recursive: true);
    }

    private async Task BootAsync()
    {
        string script = RepositoryFiles.PathOf("tests", "EndToEnd.Tests", "Package", "boot.sh");
        _boot = new ToolProcess("bash", script, PathOf(""));
        // boot.sh, unshare, and its child becomes systemd.
        await Eventually.IsTrueAsync(
            () =>
            {
                Init = ProcessTable
                    .Children(_boot.Id)
                    .SelectMany(ProcessTable.Children)
                    .FirstOrDefault(process =>
                        ProcessTable.Executable(process)?.EndsWith("/systemd", StringComparison.Ordinal)
                        == true
                    );
                return Init != 0 || _boot.ExitCode is not null;
            },
            seconds: 30
        );
        string[] last = [.. _boot.Lines.TakeLast(5)];
        Assert.SkipWhen(Init == 0, $"No namespaces to boot in: {string.Join('\n', last)}");
        string door = $"/proc/{Init}/root/run/systemd/private";
        await Eventually.IsTrueAsync(() => File.Exists(door), seconds: 30);
        await RunAsync("systemctl", "is-system-running", "--wait");
    }
}
