using Dancerwatch.Bench.FleetHistory.Checking;
using Dancerwatch.Bench.FleetHistory.Making;
using Dancerwatch.EndToEnd.Tests.Outbox;

namespace Dancerwatch.EndToEnd.Tests.FleetHistory;

/// <summary>
/// The SQL of docs/fleet-history asked of an hour of 16 virtual machines, against what the physics knows; bench/FleetHistory does
/// the same of 64 machines' day.
/// </summary>
public sealed class FleetHistoryTests : IDisposable
{
    private const double PollSeconds = 0.2;
    private readonly DirectoryInfo _directory = Directory.CreateTempSubdirectory("dancerwatch-fleet-");

    public void Dispose() => _directory.Delete(recursive: true);

    [Fact]
    public async Task The_questions_of_many_agents_are_answered_as_it_really_was()
    {
        FleetFolders folders = new(_directory.FullName);
        FleetMaker.Make(
            folders,
            machines: 16,
            fromHour: 6,
            hours: 1,
            PollSeconds,
            threads: Environment.ProcessorCount
        );

        IReadOnlyList<Finding> findings = await FleetCheck.RunAsync(
            folders,
            RepositoryFiles.PathOf("docs", "fleet-history"),
            PollSeconds,
            fewestHours: 1,
            Torture.Say
        );

        Assert.All(findings, finding => Assert.True(finding.IsRight, finding.What));
        Assert.Equal(5, findings.Select(finding => finding.Question).Distinct().Count());
        Assert.Contains(
            TruthTable.Read(folders.Truth("trips")),
            trip => trip.Text("side") is "full" or "empty"
        );
    }
}
