using System.Reflection;
using Dancerwatch.EdgeAgent.Commands;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EndToEnd.Tests.Architecture;

/// <summary>The sentences of the house on who may know whom, so that no reviewer has to check them by eye.</summary>
public sealed class DependencyTests
{
    private static readonly Assembly s_signals = typeof(Reading).Assembly;
    private static readonly Assembly s_agent = typeof(CommandLine).Assembly;

    // By name, so that the test does not depend on any type of a room it only looks at from outside.
    private static readonly Assembly s_virtualMachine = Assembly.Load("Dancerwatch.VirtualMachine");

    // Choosing among numbers and counting is no mathematics; a root, a power, a logarithm, an angle is.
    private static readonly string[] s_bookkeeping =
    [
        nameof(Math.Abs),
        nameof(Math.BigMul),
        nameof(Math.Ceiling),
        nameof(Math.Clamp),
        nameof(Math.DivRem),
        nameof(Math.Floor),
        nameof(Math.Max),
        nameof(Math.Min),
        nameof(Math.Round),
        nameof(Math.Sign),
        nameof(Math.Truncate),
    ];

    [Fact]
    public void Signals_knows_nothing_of_tags_or_MQTT_or_anything_but_the_base_library()
    {
        string[] references = References(s_signals);

        Assert.NotEmpty(references);
        Assert.All(references, name => Assert.StartsWith("System.", name, StringComparison.Ordinal));
    }

    [Fact]
    public void EdgeAgent_has_no_mathematics()
    {
        string[] calls = [.. Metadata.MemberReferences(s_agent, "System.Math", "System.MathF")];

        Assert.NotEmpty(calls); // or the scan found nothing
        Assert.All(calls, name => Assert.Contains(name, s_bookkeeping));
        Assert.DoesNotContain(
            References(s_agent),
            name => name.StartsWith("MathNet", StringComparison.Ordinal) || name == "System.Numerics"
        );
    }

    [Fact]
    public void VirtualMachine_refers_to_neither_of_those_it_is_there_to_test()
    {
        string[] references = References(s_virtualMachine);

        Assert.NotEmpty(references);
        Assert.DoesNotContain(s_signals.GetName().Name, references);
        Assert.DoesNotContain(s_agent.GetName().Name, references);
    }

    [Fact]
    public void Nothing_of_the_fleet_reaches_the_daemon()
    {
        string[] references =
        [
            .. References(s_agent),
            .. References(s_signals),
            .. References(s_virtualMachine),
        ];

        Assert.Contains("MQTTnet", references); // or the scan found nothing
        Assert.DoesNotContain(
            references,
            name =>
                name.StartsWith("Orleans", StringComparison.Ordinal)
                || name.StartsWith("Npgsql", StringComparison.Ordinal)
                || name == "dancerwatch-fleet"
        );
    }

    private static string[] References(Assembly assembly) =>
        [.. assembly.GetReferencedAssemblies().Select(reference => reference.Name!)];
}
