using System.Collections.Concurrent;

namespace Dancerwatch.Bench.WarningQuality;

/// <summary>
/// Runs that differ in length, on all cores: each takes the next one when it is done. Left alone, the pool adds threads to
/// long runs.
/// </summary>
internal static class EachCore
{
    public static void Run(int count, Action<int> run) =>
        Parallel.ForEach(
            Partitioner.Create(Enumerable.Range(0, count), EnumerablePartitionerOptions.NoBuffering),
            new ParallelOptions { MaxDegreeOfParallelism = Environment.ProcessorCount },
            run
        );
}
