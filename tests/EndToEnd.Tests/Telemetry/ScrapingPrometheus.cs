using System.Globalization;
using System.Text.Json;

namespace Dancerwatch.EndToEnd.Tests.Telemetry;

/// <summary>A Prometheus of Debian's that scrapes one daemon twice a second, by the example configuration.</summary>
internal sealed class ScrapingPrometheus : IAsyncDisposable
{
    private readonly DirectoryInfo _directory;
    private readonly ToolProcess _process;
    private readonly HttpClient _http;

    private ScrapingPrometheus(DirectoryInfo directory, ToolProcess process, int port)
    {
        (_directory, _process) = (directory, process);
        _http = new HttpClient
        {
            BaseAddress = new Uri(string.Create(CultureInfo.InvariantCulture, $"http://127.0.0.1:{port}/")),
        };
    }

    public IReadOnlyCollection<string> Log => _process.Lines;

    public static async Task<ScrapingPrometheus> StartAsync(Uri page)
    {
        string program = ToolProcess.Require("prometheus");
        DirectoryInfo directory = Directory.CreateTempSubdirectory("dancerwatch-prometheus-");
        string example = await File.ReadAllTextAsync(RepositoryFiles.PathOf("config", "prometheus.yml"));
        string config = Path.Combine(directory.FullName, "prometheus.yml");
        await File.WriteAllTextAsync(
            config,
            Replace(Replace(example, "127.0.0.1:8040", page.Authority), "15s", "500ms")
        );
        File.Copy(
            RepositoryFiles.PathOf("config", "prometheus-rules.yml"),
            Path.Combine(directory.FullName, "prometheus-rules.yml")
        );
        int port = LoopbackPort.Free();
        ToolProcess process = new(
            program,
            $"--config.file={config}",
            $"--storage.tsdb.path={Path.Combine(directory.FullName, "data")}",
            string.Create(CultureInfo.InvariantCulture, $"--web.listen-address=127.0.0.1:{port}")
        );
        await process.LineAsync(line =>
            line.Contains("Server is ready to receive web requests", StringComparison.Ordinal)
        );
        return new ScrapingPrometheus(directory, process, port);
    }

    /// <summary>The series that a query gives, once they fit.</summary>
    public Task<JsonElement[]> AskAsync(string query, Func<JsonElement[], bool> fits) =>
        Eventually.GetAsync(
            () =>
            {
                JsonElement[] series =
                [
                    .. Get($"api/v1/query?query={Uri.EscapeDataString(query)}")
                        .GetProperty("result")
                        .EnumerateArray(),
                ];
                return fits(series) ? series : null;
            },
            query,
            seconds: 30
        );

    /// <summary>What went wrong with the last scrape; empty for nothing.</summary>
    public Task<string> ScrapeTroubleAsync() =>
        Task.FromResult(
            Get("api/v1/targets").GetProperty("activeTargets")[0].GetProperty("lastError").GetString()!
        );

    /// <summary>How many rules are in force.</summary>
    public Task<int> RulesAsync() =>
        Task.FromResult(Get("api/v1/rules").GetProperty("groups")[0].GetProperty("rules").GetArrayLength());

    public async ValueTask DisposeAsync()
    {
        await _process.DisposeAsync();
        _http.Dispose();
        _directory.Delete(recursive: true);
    }

    private JsonElement Get(string path) =>
        JsonElement
            .Parse(_http.GetStringAsync(path, TestContext.Current.CancellationToken).GetAwaiter().GetResult())
            .GetProperty("data");

    private static string Replace(string text, string piece, string by)
    {
        Assert.Contains(piece, text, StringComparison.Ordinal);
        return text.Replace(piece, by, StringComparison.Ordinal);
    }
}
