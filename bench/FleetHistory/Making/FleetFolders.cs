namespace Dancerwatch.Bench.FleetHistory.Making;

/// <summary>Where a fleet's history lies: docs/fleet-history.md.</summary>
/// <param name="Root">Of the data set, the configurations it comes of, and the truth.</param>
internal sealed record FleetFolders(string Root)
{
    public string Fleet => Path.Combine(Root, "fleet");

    /// <summary>What a reader at the centre wrote of a site's events.</summary>
    public string Incoming(string site) => Path.Combine(Fleet, "incoming", $"{site}.jsonl");

    public string Ring(string site) =>
        Path.Combine(Fleet, "readings", $"site={site}", $"area={PlannedMachine.Area}");

    public string Settings(string site) =>
        Path.Combine(Fleet, "settings", $"site={site}", $"area={PlannedMachine.Area}", "settings.jsonl");

    public string Configuration(string site) => Path.Combine(Root, "config", $"{site}.jsonc");

    public string Truth(string name) => Path.Combine(Root, "truth", $"{name}.csv");
}
