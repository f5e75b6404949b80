using System.Globalization;
using System.Runtime.InteropServices;

namespace Dancerwatch.EdgeAgent.Hosting;

/// <summary>
/// Pages of the program and of its libraries, which the system has read from their files: most are needed at the start only.
/// </summary>
/// <remarks>
/// The program stands where it stands from before its first line to its last. A library may just be loaded, written to or exchanged
/// for other memory by another thread between a look at the maps and the advice, which would then lose what was written. So of
/// libraries only those that the runtime never lets go of, once they have stood in the same place at two looks.
/// </remarks>
internal static partial class ProgramPages
{
    private const string Maps = "/proc/self/smaps";
    private const string Program = "/proc/self/exe";
    private const int DontNeed = 4; // MADV_DONTNEED, madvise(2)

    private static readonly string[] s_libraries =
    [
        "/libc.so",
        "/libcrypto.so",
        "/libssl.so",
        "/libgssapi_krb5.so",
        "/libkrb5.so",
        "/libk5crypto.so",
    ];
    private static readonly Lock s_gate = new();
    private static HashSet<string> s_seen = [];

    /// <summary>
    /// Takes them out of this process. What is needed again comes back from the system's cache, a page fault of some
    /// microseconds for each 64 kB. Pages that may be written, or were, stay. Elsewhere than on Linux nothing happens.
    /// </summary>
    public static void GiveBack()
    {
        if (!OperatingSystem.IsLinux())
            return;
        try
        {
            Look();
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // Without /proc, as in a bare root directory, they stay.
        }
    }

    private static void Look()
    {
        if (File.ResolveLinkTarget(Program, returnFinalTarget: false)?.FullName is not { } program)
            return;
        lock (s_gate)
        {
            HashSet<string> seen = [];
            foreach ((nuint start, nuint length) in CleanPages(File.ReadLines(Maps), program, s_seen, seen))
                _ = Advise(start, length, DontNeed); // an advice: where it is refused, the pages stay
            s_seen = seen;
        }
    }

    /// <param name="maps">Lines in the form of <c>/proc/PID/smaps</c>, proc(5).</param>
    /// <param name="program">Path of its file.</param>
    /// <param name="before">Of the libraries, what <paramref name="now"/> was at the look before.</param>
    /// <param name="now">Takes what stands where of them.</param>
    /// <returns>Start and length, bytes, of what came of those files, cannot be written, and never was.</returns>
    internal static IEnumerable<(nuint Start, nuint Length)> CleanPages(
        IEnumerable<string> maps,
        string program,
        IReadOnlySet<string> before,
        ISet<string> now
    )
    {
        (nuint Start, nuint Length)? pages = null;
        foreach (string line in maps)
        {
            string[] words = line.Split(
                ' ',
                6,
                StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries
            );
            if (words[0].Contains('-', StringComparison.Ordinal))
            {
                bool isFile = words.Length == 6 && words[1][1] == '-';
                bool isOurs = isFile && words[5] == program;
                if (
                    isFile
                    && Array.Exists(s_libraries, one => words[5].Contains(one, StringComparison.Ordinal))
                )
                    isOurs = now.Add(line) && before.Contains(line);
                pages = isOurs ? Range(words[0]) : null;
            }
            else if (words[0] == "Private_Dirty:" && words[1] == "0" && pages is { } clean)
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
