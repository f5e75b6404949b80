using System.Diagnostics;
using System.Runtime.InteropServices;

namespace Dancerwatch.Polling;

/// <summary>
/// Controllers are computers of their own: here they have the last processor, and what polls them the others, so that
/// neither takes time from the other. Threads made later stay where the one that made them is.
/// </summary>
internal static partial class Processors
{
    /// <summary>By the number of those there are for the first process of all: one started by it sees only what that one has left.</summary>
    public static nint OfControllers { get; } = (nint)1 << (Environment.ProcessorCount - 1);

    public static nint Others => OfControllers - 1;

    /// <summary>Keeps the threads of this process to these.</summary>
    /// <param name="which">A bit each; 0 leaves all as it is.</param>
    public static void Take(nint which)
    {
        if (which == 0)
            return;
        using Process self = Process.GetCurrentProcess();
        if (OperatingSystem.IsWindows())
            self.ProcessorAffinity = which;
        else if (OperatingSystem.IsLinux())
        {
            foreach (ProcessThread thread in self.Threads)
                _ = Keep(thread.Id, sizeof(long), which);
        }
    }

    [LibraryImport("libc", EntryPoint = "sched_setaffinity")]
    private static partial int Keep(int thread, nint bytes, in nint which);
}
