using System.Globalization;
using Dancerwatch.EdgeAgent.Hosting;

namespace Dancerwatch.EdgeAgent.Tests.Hosting;

public sealed class ProgramPagesTests
{
    // Form of the lines: proc(5), "/proc/pid/smaps", Debian 12.
    private const string Maps = """
        00400000-00452000 r-xp 00000000 08:02 173521      /opt/tea hall/dancerwatch
        Size:                328 kB
        Rss:                 300 kB
        Private_Clean:       300 kB
        Private_Dirty:         0 kB
        VmFlags: rd ex mr mw me
        00651000-00652000 r--p 00051000 08:02 173521      /opt/tea hall/dancerwatch
        Rss:                   4 kB
        Private_Dirty:         4 kB
        00652000-00655000 rw-p 00052000 08:02 173521      /opt/tea hall/dancerwatch
        Rss:                   0 kB
        Private_Dirty:         0 kB
        00e03000-00e24000 r--p 00000000 00:00 0
        Private_Dirty:         0 kB
        35b1800000-35b1820000 r-xp 00000000 08:02 135522  /usr/lib64/ld-2.15.so
        Private_Dirty:         0 kB
        7fffb2d48000-7fffb2d49000 r-xp 00000000 00:00 0   [vdso]
        Private_Dirty:         0 kB
        """;

    [Fact]
    public void What_came_of_a_file_and_cannot_be_written_and_never_was_goes() =>
        Assert.Equal(
            [(0x400000, 0x52000), (0x35b1800000, 0x20000)],
            ProgramPages
                .CleanFiles(Maps.ReplaceLineEndings("\n").Split('\n'))
                .Select(range => ((ulong)range.Start, (ulong)range.Length))
        );

    [Fact]
    public void The_program_runs_on_and_fewer_of_its_pages_are_in_memory()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "Only Linux tells of its pages in /proc.");
        long before = OfFiles();

        ProgramPages.GiveBack();

        Assert.InRange(OfFiles(), 1, before - 1);
    }

    /// <returns>RssFile of proc(5): memory whose content came of files, kB.</returns>
    private static long OfFiles() =>
        long.Parse(
            File.ReadLines("/proc/self/status")
                .First(line => line.StartsWith("RssFile:", StringComparison.Ordinal))[8..]
                .Replace("kB", "", StringComparison.Ordinal),
            CultureInfo.InvariantCulture
        );
}
