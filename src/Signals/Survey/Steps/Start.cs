namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>A start of the machine with the dancer at one end.</summary>
/// <param name="Blocks">From just before the machine drew film on.</param>
/// <param name="Tripped">The machine tripped, or stopped again.</param>
public sealed record Start(IReadOnlyList<Block> Blocks, bool Tripped);
