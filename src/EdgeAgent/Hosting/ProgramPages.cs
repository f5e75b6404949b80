using System.Globalization;
using System.Runtime.InteropServices;

namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>
/// Pages of the program and its libraries, which the system has read from their files: most are needed at the start only.
/// </summary>
internal static partial class ProgramPages
{
    private const string Maps = "/proc/self/smaps";
    private const int DontNeed = 4; // MADV_DONTNEED, madvise(2)

    /// <summary>
    /// Takes them out of this process. What is needed again comes back from the system's cache, a page fault of some
    /// microseconds for each 64 kB. Pages that may be written, or were, stay. Elsewhere than on Linux nothing happens.
    /// </summary>
    public static void GiveBack()
    {
        if (!OperatingSystem.IsLinux())
            return;
        foreach ((nuint start, nuint length) in CleanFiles(File.ReadLines(Maps)))
            _ = Advise(start, length, DontNeed); // an advice: where it is refused, the pages stay
    }

    /// <param name="maps">Lines in the form of <c>/proc/PID/smaps</c>, proc(5).</param>
    /// <returns>Start and length, bytes, of what came of a file, cannot be written, and never was.</returns>
    internal static IEnumerable<(nuint Start, nuint Length)> CleanFiles(IEnumerable<string> maps)
    {
        (nuint Start, nuint Length)? file = null;
        foreach (string line in maps)
        {
            string[] words = line.Split(
                ' ',
                6,
                StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries
            );
            if (words[0].Contains('-', StringComparison.Ordinal))
                file = words.Length == 6 && words[5][0] == '/' && words[1][1] == '-' ? Range(words[0]) : null;
            else if (words[0] == "Private_Dirty:" && words[1] == "0" && file is { } clean)
                yield return clean;
        }
    }

    private static (nuint Start, nuint Length) Range(string words)
    {
        string[] ends = words.Split('-');
        nuint start = nuint.Parse(ends[0], NumberStyles.HexNumber, CultureInfo.InvariantCulture);
        nuint end = nuint.Parse(ends[1], NumberStyles.HexNumber, CultureInfo.InvariantCulture);
        return (start, end - start);
    }

    [LibraryImport("libc", EntryPoint = "madvise")]
    private static partial int Advise(nuint address, nuint length, int advice);
}
