namespace Dancerwatch.Tests;

/// <summary>What code allocates on the thread that runs it.</summary>
internal static class Allocated
{
    private const int Rounds = 5;

    /// <summary>
    /// Least of several rounds, bytes. A garbage collection that another test brings about charges the unused rest of this
    /// thread's buffer, up to 8 kB, to the round it falls into; what really allocates does so in every round.
    /// </summary>
    /// <param name="round">Run once a round, with the round's number from 0: it must do the same work each time.</param>
    public static long Bytes(Action<int> round)
    {
        long least = long.MaxValue;
        for (int i = 0; i < Rounds; i++)
        {
            long before = GC.GetAllocatedBytesForCurrentThread();
            round(i);
            least = Math.Min(least, GC.GetAllocatedBytesForCurrentThread() - before);
        }
        return least;
    }
}
