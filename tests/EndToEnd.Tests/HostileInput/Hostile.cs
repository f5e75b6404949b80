namespace Dancerwatch.EndToEnd.Tests.HostileInput;

/// <summary>One after the other, and beside nothing else: what is measured is the memory of the whole process.</summary>
[CollectionDefinition(nameof(Hostile), DisableParallelization = true)]
public sealed class Hostile;
