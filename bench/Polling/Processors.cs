using System.Diagnostics;

namespace Dancerwatch.Polling;

/// <summary>
/// Controllers are computers of their own: here they have the last processor, and what polls them the others, so that
/// neither takes time from the other. Threads made later stay where the one that made them is.
/// </summary>
internal static class Processors
{
    private static nint Controllers => (nint)1 << (Environment.ProcessorCount - 1);

    public static void TakeTheControllers() => Take(Controllers);

    public static void TakeTheOthers() => Take(Controllers - 1);

    private static void Take(nint which)
    {
        if ((OperatingSystem.IsLinux() || OperatingSystem.IsWindows()) && which != 0)
            Process.GetCurrentProcess().ProcessorAffinity = which;
    }
}
