namespace Dancerwatch.Bench.FleetHistory.Checking;

/// <summary>What came of one comparison with the truth.</summary>
/// <param name="Question">The file that was asked.</param>
/// <param name="What">With its numbers.</param>
internal sealed record Finding(string Question, bool IsRight, string What);
