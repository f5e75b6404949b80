using System.Text.Json;
using System.Text.RegularExpressions;
using Dancerwatch.EndToEnd.Tests.Program;

namespace Dancerwatch.EndToEnd.Tests.Package;

/// <summary>The bill of materials in the package, against the lock file, and by the schema of the CycloneDX project.</summary>
public sealed partial class BillOfMaterialsTests : IDisposable
{
    private readonly DirectoryInfo _unpacked = Directory.CreateTempSubdirectory("dancerwatch-package-");

    [Fact]
    public async Task It_has_each_package_of_the_lock_file_with_a_hash_and_the_runtime_as_a_part()
    {
        using JsonDocument bill = JsonDocument.Parse(await File.ReadAllTextAsync(await BillAsync(), s_end));
        string lockFile = RepositoryFiles.PathOf("src", "EdgeAgent", "packages.linux-x64.lock.json");
        using JsonDocument locked = JsonDocument.Parse(await File.ReadAllTextAsync(lockFile, s_end));
        Dictionary<string, JsonElement> parts = bill
            .RootElement.GetProperty("components")
            .EnumerateArray()
            .ToDictionary(part => $"{part.GetProperty("name")} {part.GetProperty("version")}");

        int checkedParts = 0;
        foreach (
            JsonProperty package in locked
                .RootElement.GetProperty("dependencies")
                .EnumerateObject()
                .SelectMany(framework => framework.Value.EnumerateObject())
                .Where(package => package.Value.TryGetProperty("resolved", out _))
        )
        {
            JsonElement part = parts[$"{package.Name} {package.Value.GetProperty("resolved")}"];
            // Of the package as it is served; the lock file's is of what is in it, without the signature.
            JsonElement hash = part.GetProperty("hashes")[0];
            Assert.Equal("SHA-512", hash.GetProperty("alg").GetString());
            Assert.Equal(128, hash.GetProperty("content").GetString()!.Length);
            checkedParts++;
        }
        Assert.InRange(checkedParts, 30, 200);
        // It lies among the sources, where no package manager sees it.
        JsonElement charts = parts[$"uplot {UPlotVersion()}"];
        Assert.Equal($"pkg:npm/uplot@{UPlotVersion()}", charts.GetProperty("purl").GetString());
        Assert.Equal("required", charts.GetProperty("scope").GetString());
        Assert.Equal(
            "MIT",
            charts.GetProperty("licenses")[0].GetProperty("license").GetProperty("id").GetString()
        );
        JsonElement runtime = parts
            .Single(part => part.Key.StartsWith("runtime.", StringComparison.Ordinal))
            .Value;
        Assert.Equal("required", runtime.GetProperty("scope").GetString());
    }

    [Fact]
    public async Task The_schema_of_the_CycloneDX_project_finds_it_valid()
    {
        string bill = await BillAsync();
        string folder = RepositoryFiles.PathOf("tests", "EndToEnd.Tests", "Package", "Validator");
        Assert.SkipUnless(
            Directory.Exists(Path.Combine(folder, "node_modules")),
            "npm ci was not run in Validator"
        );
        await using ToolProcess validator = new(
            ToolProcess.Require("node"),
            Path.Combine(folder, "validate.js"),
            bill
        );

        Assert.Equal(["valid"], await validator.LinesToEndAsync(s_end));
    }

    public void Dispose() => _unpacked.Delete(recursive: true);

    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    /// <summary>As the script that is part of the program has it in its first line.</summary>
    private static string UPlotVersion()
    {
        string script = File.ReadAllText(
            RepositoryFiles.PathOf("src", "EdgeAgent", "Web", "uplot", "uPlot.iife.min.js")
        );
        return UPlotLine().Match(script).Groups[1].Value;
    }

    [GeneratedRegex(@"\(v(\d+\.\d+\.\d+)\)")]
    private static partial Regex UPlotLine();

    private async Task<string> BillAsync()
    {
        await using ToolProcess unpack = new(
            ToolProcess.Require("dpkg-deb"),
            "--extract",
            PublishedProgram.RequirePackage(),
            _unpacked.FullName
        );
        await unpack.LinesToEndAsync(s_end);
        return Path.Combine(_unpacked.FullName, "usr/share/doc/dancerwatch/dancerwatch.cdx.json");
    }
}
