using System.Text.Json;

namespace Dancerwatch.EndToEnd.Tests.Pages;

/// <summary>A page as a real browser sees it in one window. Written by <c>Browser/look.js</c>.</summary>
/// <param name="Requests">Everything that was asked for, from wherever.</param>
/// <param name="Errors">Of scripts and of the content security policy.</param>
/// <param name="Violations">What axe finds of WCAG 2.1 A and AA and of its best practice.</param>
/// <param name="Pixels">Drawn pixels of each chart.</param>
/// <param name="TooWide">By how many pixels the page is wider than the window.</param>
/// <param name="First">Text of the clock, and a second later.</param>
/// <param name="Stops">What the tab key leads to.</param>
/// <param name="Sheets">Sheets of A4 it is printed on.</param>
/// <param name="TooWideOnPaper">By how many pixels it is wider than one.</param>
internal sealed record Looked(
    string Window,
    IReadOnlyList<string> Requests,
    IReadOnlyList<string> Errors,
    IReadOnlyList<string> Violations,
    IReadOnlyDictionary<string, int> Pixels,
    int TooWide,
    string First,
    string Second,
    string Text,
    IReadOnlyList<string> Stops,
    int Sheets,
    int TooWideOnPaper
)
{
    /// <summary>Skips the test where browser or node are not installed.</summary>
    /// <param name="folder">Where screenshots go, <c>desk.png</c> and <c>phone.png</c>.</param>
    /// <returns>As seen at 1280 x 800 and on a phone.</returns>
    public static async Task<IReadOnlyList<Looked>> AtAsync(
        string address,
        string folder,
        CancellationToken cancellation
    )
    {
        using JsonDocument seen = await ScriptAsync("look.js", cancellation, address, folder);
        return [.. seen.RootElement.EnumerateArray().Select(Of)];
    }

    /// <summary>Runs a script beside this; skips the test where browser or node are not installed.</summary>
    public static async Task<JsonDocument> ScriptAsync(
        string script,
        CancellationToken cancellation,
        params IReadOnlyList<string> arguments
    )
    {
        string browser = RepositoryFiles.PathOf("tests", "EndToEnd.Tests", "Pages", "Browser");
        Assert.SkipUnless(
            Directory.Exists(Path.Combine(browser, "node_modules")),
            "npm ci was not run in tests/EndToEnd.Tests/Pages/Browser"
        );
        await using ToolProcess node = new(
            ToolProcess.Require("node"),
            [Path.Combine(browser, script), ToolProcess.Require("chromium"), .. arguments]
        );
        IReadOnlyList<string> lines = await node.LinesToEndAsync(cancellation);
        string? result = lines.LastOrDefault(line => line.StartsWith("[{", StringComparison.Ordinal));
        Assert.True(result is not null, string.Join('\n', lines));
        return JsonDocument.Parse(result);
    }

    /// <summary>Keeps screenshots to be looked at where the environment names a directory.</summary>
    public static void Keep(string folder, string name)
    {
        if (Environment.GetEnvironmentVariable("DANCERWATCH_PAGES") is not { } kept)
            return;
        Directory.CreateDirectory(kept);
        foreach (
            string shot in Directory.GetFiles(folder, "*.png").Concat(Directory.GetFiles(folder, "*.pdf"))
        )
            File.Copy(shot, Path.Combine(kept, $"{name}-{Path.GetFileName(shot)}"), overwrite: true);
    }

    private static Looked Of(JsonElement seen) =>
        new(
            seen.GetProperty("window").GetString()!,
            Texts(seen, "requests"),
            Texts(seen, "errors"),
            Texts(seen, "violations"),
            seen.GetProperty("charts")
                .EnumerateArray()
                .ToDictionary(
                    chart => chart.GetProperty("id").GetString()!,
                    chart => chart.GetProperty("pixels").GetInt32()
                ),
            seen.GetProperty("wide").GetInt32(),
            seen.GetProperty("first").GetString()!,
            seen.GetProperty("second").GetString()!,
            seen.GetProperty("text").GetString()!,
            Texts(seen, "stops"),
            seen.GetProperty("paper").GetProperty("pages").GetInt32(),
            seen.GetProperty("paper").GetProperty("wide").GetInt32()
        );

    private static string[] Texts(JsonElement seen, string name) =>
        [.. seen.GetProperty(name).EnumerateArray().Select(text => text.GetString()!)];
}
