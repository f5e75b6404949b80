using System.IO.Compression;
using System.Text.Json;

namespace Dancerwatch.EndToEnd.Tests.Package;

/// <summary>The switch that adds the package of the native library, with a feed of this computer's that holds a stand-in for it.</summary>
public sealed class LibplctagPackageTests : IDisposable
{
    private const string Package = "libplctag.NativeImport";
    private const string Version = "0.0.1-standin";
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("dancerwatch-feed-");

    public void Dispose() => _folder.Delete(recursive: true);

    [Fact]
    public async Task The_switch_restores_the_package_and_leaves_what_is_locked_as_it_was()
    {
        string projects = CopyProjects();
        string lockFile = Path.Combine(projects, "src", "EdgeAgent", "packages.lock.json");
        string locked = File.ReadAllText(lockFile);
        string feed = MakeFeed();
        await using ToolProcess restore = new(
            "dotnet",
            [
                "restore",
                Path.Combine(projects, "src", "EdgeAgent"),
                $"-p:RestoreAdditionalProjectSources={feed}",
                $"-p:LibplctagPackageVersion={Version}",
            ]
        );
        IReadOnlyList<string> said = await restore.LinesToEndAsync(TestContext.Current.CancellationToken);

        Assert.True(restore.ExitCode == 0, string.Join('\n', said));
        string assets = File.ReadAllText(
            Path.Combine(projects, "src", "EdgeAgent", "obj", "project.assets.json")
        );
        Assert.Contains($"{Package}/{Version}", assets, StringComparison.Ordinal);
        Assert.Contains("runtimes/linux-x64/native/libplctag.so", assets, StringComparison.Ordinal);
        // Whoever does not turn it on restores what is locked, and knows of no such package.
        Assert.Equal(locked, File.ReadAllText(lockFile));
        Assert.DoesNotContain(Package, locked, StringComparison.OrdinalIgnoreCase);
        Forget(assets);
    }

    // Packages are kept for the whole computer; this one is nobody's.
    private static void Forget(string assets)
    {
        using JsonDocument json = JsonDocument.Parse(assets);
        foreach (JsonProperty folder in json.RootElement.GetProperty("packageFolders").EnumerateObject())
        {
            string kept = Path.Combine(folder.Name, Package.ToLowerInvariant(), Version);
            if (Directory.Exists(kept))
                Directory.Delete(kept, recursive: true);
        }
    }

    // What a restore reads, and nothing more.
    private string CopyProjects()
    {
        string from = RepositoryFiles.PathOf();
        string to = Path.Combine(_folder.FullName, "projects");
        string[] files =
        [
            "Directory.Build.props",
            "Directory.Packages.props",
            "src/Directory.Build.props",
            "global.json",
            .. new[] { "Signals", "VirtualMachine", "EdgeAgent" }.SelectMany(project =>
                new[] { $"src/{project}/{project}.csproj", $"src/{project}/packages.lock.json" }
            ),
        ];
        foreach (string file in files)
        {
            string place = Path.Combine(to, file);
            Directory.CreateDirectory(Path.GetDirectoryName(place)!);
            File.Copy(Path.Combine(from, file), place);
        }
        return to;
    }

    // A package is a zip file with a description; this one's library is no library.
    private string MakeFeed()
    {
        string feed = Path.Combine(_folder.FullName, "feed");
        Directory.CreateDirectory(feed);
        using ZipArchive package = ZipFile.Open(
            Path.Combine(feed, $"{Package}.{Version}.nupkg"),
            ZipArchiveMode.Create
        );
        Add(
            package,
            $"{Package}.nuspec",
            $"""
            <?xml version="1.0" encoding="utf-8"?>
            <package xmlns="http://schemas.microsoft.com/packaging/2013/05/nuspec.xsd">
              <metadata>
                <id>{Package}</id>
                <version>{Version}</version>
                <authors>leafside</authors>
                <description>A stand-in.</description>
              </metadata>
            </package>
            """
        );
        Add(package, "runtimes/linux-x64/native/libplctag.so", "no library");
        return feed;
    }

    private static void Add(ZipArchive package, string name, string text)
    {
        using StreamWriter writer = new(package.CreateEntry(name).Open());
        writer.Write(text);
    }
}
