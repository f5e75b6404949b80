namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>Something that the black box is for: a warning, a trip.</summary>
/// <param name="Ticks">Monotonic time, ticks of 100 ns from the start of the run.</param>
/// <param name="Microseconds">Wall-clock time, µs since 1970-01-01 UTC.</param>
/// <param name="What">In a few words, such as <c>limit-approach raised</c>.</param>
public sealed record BlackBoxMark(long Ticks, long Microseconds, string What);
