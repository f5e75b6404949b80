using System.Reflection;
using ArchUnitNET.Loader;
using ArchUnitNET.xUnitV3;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.Fleet.Commands;
using Dancerwatch.Signals.Readings;
using static ArchUnitNET.Fluent.ArchRuleDefinition;

namespace Dancerwatch.Fleet.Tests.Architecture;

/// <summary>The fleet's house: its folders lie in one direction, and it shares the daemon's rooms instead of copying them.</summary>
public sealed class DirectionTests
{
    private static readonly Assembly s_fleet = typeof(FleetCommandLine).Assembly;

    private static readonly ArchUnitNET.Domain.Architecture s_code = new ArchLoader()
        .LoadAssemblies(s_fleet, typeof(CommandLine).Assembly, typeof(Reading).Assembly)
        .Build();

    private static readonly string[] s_folders =
    [
        "Records",
        "Leases",
        "Holding",
        "Grains",
        "Hosting",
        "Demo",
        "Commands",
    ];

    public static TheoryData<string, string> Pairs()
    {
        TheoryData<string, string> pairs = [];
        for (int left = 0; left < s_folders.Length; left++)
        {
            for (int right = left + 1; right < s_folders.Length; right++)
                pairs.Add(s_folders[left], s_folders[right]);
        }
        return pairs;
    }

    [Theory, MemberData(nameof(Pairs))]
    public void A_folder_does_not_use_one_to_its_right(string left, string right) =>
        Types()
            .That()
            .ResideInNamespaceMatching($"^Dancerwatch.Fleet.{left}(\\..*)?$")
            .Should()
            .NotDependOnAny(Types().That().ResideInNamespaceMatching($"^Dancerwatch.Fleet.{right}(\\..*)?$"))
            .Check(s_code);

    [Fact]
    public void It_uses_the_daemons_rooms_and_none_of_its_types_is_called_like_one_of_theirs()
    {
        string[] references = [.. s_fleet.GetReferencedAssemblies().Select(one => one.Name!)];
        string[] Names(Assembly assembly) =>
            [
                .. assembly
                    .GetTypes()
                    .Where(type =>
                        type.Namespace?.StartsWith("Dancerwatch", StringComparison.Ordinal) == true
                        && !type.IsNested
                    )
                    .Select(type => type.Name),
            ];
        // A folder's list of log lines, and commands that both programs have.
        string[] shared = ["Log", "RunCommand", "SchemaCommand", "SimulateCommand"];

        Assert.Contains("dancerwatch", references);
        Assert.DoesNotContain("MQTTnet", references);
        Assert.Empty(Names(s_fleet).Intersect(Names(typeof(CommandLine).Assembly)).Except(shared));
    }
}
