namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>
/// Memory that work of once in a while leaves behind goes back to the system: the collector would keep it, for it collects
/// fully only when it must.
/// </summary>
internal static class SpareMemory
{
    private static readonly TimeSpan s_startUp = TimeSpan.FromSeconds(1);

    /// <summary>By then brokers are connected, and libraries have stood where they stand since the look before.</summary>
    private static readonly TimeSpan s_connecting = TimeSpan.FromSeconds(9);

    /// <summary>Gives back what only the start needed: 3 MB of 41 with eight machines, then 5 MB over TLS (bench/footprint.sh).</summary>
    public static async Task GiveBackAfterStartAsync(TimeProvider time, CancellationToken cancellation)
    {
        try
        {
            await Task.Delay(s_startUp, time, cancellation);
            GiveBack();
            await Task.Delay(s_connecting, time, cancellation);
            ProgramPages.GiveBack();
        }
        catch (OperationCanceledException) when (cancellation.IsCancellationRequested) { }
    }

    /// <summary>Stops all threads for some milliseconds; not for what happens often.</summary>
    public static void GiveBack()
    {
        GC.Collect(GC.MaxGeneration, GCCollectionMode.Aggressive, blocking: true, compacting: true);
        ProgramPages.GiveBack();
    }
}
