using System.Globalization;
using System.Text.Json;

namespace Dancerwatch.EndToEnd.Tests.Telemetry;

/// <summary>What Prometheus makes of the metrics and of the example rules: Debian's, a program that is not ours.</summary>
public sealed class PrometheusTests
{
    private static readonly CancellationToken s_end = TestContext.Current.CancellationToken;

    [Fact]
    public async Task Promtool_finds_nothing_wrong_with_the_names_and_every_instrument_is_there()
    {
        string promtool = ToolProcess.Require("promtool");
        await using MeasuredAgent agent = await MeasuredAgent.StartAsync();
        string metrics = await agent.MetricsAsync("edgeagent_poll_lateness_seconds_count");

        Assert.Equal(
            DocumentedInstrument.All.Select(each => $"{each.InPrometheus} {each.Kind}").Order(),
            metrics
                .Split('\n')
                .Where(line => line.StartsWith("# TYPE ", StringComparison.Ordinal))
                .Select(line => line["# TYPE ".Length..])
                // Told with the first event.
                .Append("edgeagent_event_delay_seconds histogram")
                .Distinct()
                .Order()
        );
        Assert.Equal((0, ""), await LintAsync(promtool, metrics));
        // The same check on a counter that does not say that it is one.
        Assert.NotEqual(
            (0, ""),
            await LintAsync(
                promtool,
                metrics.Replace("states_published_total", "states_published", StringComparison.Ordinal)
            )
        );
    }

    [Theory]
    [InlineData("check", "rules", "config/prometheus-rules.yml")]
    [InlineData("check", "config", "config/prometheus.yml")]
    [InlineData("test", "rules", "tests/EndToEnd.Tests/Telemetry/rules-test.yml")]
    public async Task Promtool_accepts_the_example_rules_and_each_alerts_of_its_trouble_only(
        string what,
        string of,
        string file
    )
    {
        await using ToolProcess promtool = new(
            ToolProcess.Require("promtool"),
            what,
            of,
            RepositoryFiles.PathOf(file.Split('/'))
        );

        IReadOnlyList<string> said = await promtool.LinesToEndAsync(s_end);

        Assert.True(promtool.ExitCode == 0, string.Join('\n', said));
        Assert.Contains(said, line => line.Contains("SUCCESS", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Prometheus_scrapes_the_status_page_and_alerts_of_nothing()
    {
        await using MeasuredAgent agent = await MeasuredAgent.StartAsync();
        await using ScrapingPrometheus prometheus = await ScrapingPrometheus.StartAsync(agent.Page);

        JsonElement[] polls = await prometheus.AskAsync(
            "edgeagent_polls_total{outcome=\"complete\"} > 100",
            series => series.Length == 1
        );
        JsonElement[] up = await prometheus.AskAsync(
            "up{job=\"dancerwatch\"} == 1",
            series => series.Length == 1
        );
        // By the rules of config/, which are in force.
        JsonElement[] alerts = await prometheus.AskAsync("ALERTS", _ => true);

        Assert.Equal("tea", polls[0].GetProperty("metric").GetProperty("controller").GetString());
        Assert.NotEmpty(up);
        Assert.Empty(alerts);
        Assert.Equal("", await prometheus.ScrapeTroubleAsync());
        Assert.Equal(12, await prometheus.RulesAsync());
        Assert.DoesNotContain(prometheus.Log, line => line.Contains("level=warn", StringComparison.Ordinal));
    }

    private static async Task<(int? Code, string Said)> LintAsync(string promtool, string metrics)
    {
        string file = Path.GetTempFileName();
        await File.WriteAllTextAsync(file, metrics, s_end);
        await using ToolProcess lint = new(
            "sh",
            "-c",
            string.Create(CultureInfo.InvariantCulture, $"{promtool} check metrics < {file}")
        );
        IReadOnlyList<string> said = await lint.LinesToEndAsync(s_end);
        File.Delete(file);
        return (lint.ExitCode, string.Join('\n', said));
    }
}
