namespace Dancerwatch.EndToEnd.Tests.Telemetry;

/// <summary>A row of the table of instruments in docs/metrics.md.</summary>
internal sealed record DocumentedInstrument(string Name, string Unit, string Kind, string InPrometheus)
{
    public static IReadOnlyList<DocumentedInstrument> All { get; } =
    [
        .. File.ReadLines(RepositoryFiles.PathOf("docs", "metrics.md"))
            .Where(line => line.StartsWith("| `edgeagent.", StringComparison.Ordinal))
            .Select(line => line.Split('|', StringSplitOptions.TrimEntries))
            .Select(cells => new DocumentedInstrument(
                cells[1].Trim('`'),
                cells[2].Trim('`'),
                cells[3],
                cells[4].Trim('`')
            )),
    ];
}
