using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Controllers.Recorded;

/// <summary>One row of a trace.</summary>
/// <param name="Machine">Place of its machine in the list the reader was given.</param>
/// <param name="Reading">The reading, as it was when it was recorded.</param>
public readonly record struct TraceRow(int Machine, Reading Reading);
