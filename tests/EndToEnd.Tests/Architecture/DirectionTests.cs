using ArchUnitNET.Loader;
using ArchUnitNET.xUnitV3;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.Signals.Readings;
using static ArchUnitNET.Fluent.ArchRuleDefinition;

namespace Dancerwatch.EndToEnd.Tests.Architecture;

/// <summary>Data goes one way: a folder may use those to its left, never those to its right.</summary>
public sealed class DirectionTests
{
    private static readonly ArchUnitNET.Domain.Architecture s_code = new ArchLoader()
        .LoadAssemblies(typeof(Reading).Assembly, typeof(CommandLine).Assembly)
        .Build();

    private static readonly string[] s_signals =
    [
        "Memory",
        "Statistics",
        "Readings",
        "Fill",
        "Regimes",
        "Bands",
        "Roll",
        "Oscillation",
        "Forecast",
        "FilmPath",
        "Causes",
        "Warnings",
        "Survey",
        "Tuning",
        "Recognition",
    ];

    private static readonly string[] s_agent =
    [
        "Web",
        "Waiting",
        "Controllers",
        "Polling",
        "Watching",
        "Outbox",
        "Snapshots",
        "Recording",
        "Mqtt",
        "Telemetry",
        "StatusPage",
        "Hosting",
        "Survey",
        "Reports",
        "Discovery",
        "Commands",
    ];

    public static TheoryData<string, string> Pairs()
    {
        TheoryData<string, string> pairs = [];
        foreach ((string root, string[] folders) in new[] { ("Signals", s_signals), ("EdgeAgent", s_agent) })
        {
            for (int left = 0; left < folders.Length; left++)
            {
                for (int right = left + 1; right < folders.Length; right++)
                    pairs.Add($"Dancerwatch.{root}.{folders[left]}", $"Dancerwatch.{root}.{folders[right]}");
            }
        }
        return pairs;
    }

    [Theory, MemberData(nameof(Pairs))]
    public void A_folder_does_not_use_one_to_its_right(string left, string right)
    {
        Types()
            .That()
            .ResideInNamespaceMatching($"^{left}(\\..*)?$")
            .Should()
            .NotDependOnAny(Types().That().ResideInNamespaceMatching($"^{right}(\\..*)?$"))
            .Check(s_code);
    }
}
