namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>
/// Memory that work of once in a while leaves behind goes back to the system: the collector would keep it, for it collects
/// fully only when it must.
/// </summary>
internal static class SpareMemory
{
    /// <summary>Stops all threads for some milliseconds; not for what happens often.</summary>
    public static void GiveBack()
    {
        GC.Collect(GC.MaxGeneration, GCCollectionMode.Aggressive, blocking: true, compacting: true);
        ProgramPages.GiveBack();
    }
}
