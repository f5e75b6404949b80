using System.Reflection;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EndToEnd.Tests;

/// <summary>The sentences of the house that no reviewer should have to check by eye.</summary>
public sealed class ArchitectureTests
{
    private static readonly Assembly s_signals = typeof(Reading).Assembly;

    [Fact]
    public void Signals_refers_to_nothing_but_the_base_library()
    {
        AssemblyName[] references = s_signals.GetReferencedAssemblies();

        Assert.NotEmpty(references);
        Assert.All(
            references,
            reference => Assert.StartsWith("System.", reference.Name, StringComparison.Ordinal)
        );
    }
}
