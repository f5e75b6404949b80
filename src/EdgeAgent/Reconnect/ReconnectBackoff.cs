namespace Dancerwatch.EdgeAgent.Reconnect;

/// <summary>
/// Decides how far apart attempts to connect begin: doubling from <see cref="First"/> to the maximum, then staying
/// there, each time shortened by up to a quarter at random, so that many agents that lost the same switch do not come
/// back in step. Counted from beginning to beginning, so that an attempt that waits in vain does not lengthen the gap.
/// </summary>
internal sealed class ReconnectBackoff(TimeSpan maximum)
{
    private const double LargestCut = 0.25;

    /// <summary>Interval after the first attempt.</summary>
    public static readonly TimeSpan First = TimeSpan.FromMilliseconds(50);

    /// <summary>Shortest pause between the end of an attempt and the next: the other side is given time to breathe.</summary>
    public static readonly TimeSpan ShortestPause = TimeSpan.FromMilliseconds(20);

    /// <param name="attempt">Number of the attempt that failed, from 0.</param>
    /// <param name="took">How long it took.</param>
    /// <param name="random">Uniform in [0, 1).</param>
    /// <returns>Pause until the next attempt.</returns>
    public TimeSpan Pause(int attempt, TimeSpan took, double random)
    {
        double interval = Math.Min(
            maximum.TotalMilliseconds,
            First.TotalMilliseconds * (1 << Math.Min(attempt, 30))
        );
        TimeSpan pause = TimeSpan.FromMilliseconds(interval * (1 - (LargestCut * random))) - took;
        return pause > ShortestPause ? pause : ShortestPause;
    }
}
