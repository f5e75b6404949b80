using System.Globalization;
using System.Runtime.InteropServices;
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
    public void What_came_of_the_programs_file_and_cannot_be_written_and_never_was_goes() =>
        Assert.Equal([0x400000], Clean(Maps, []));

    [Fact]
    public void Of_libraries_that_stay_goes_what_stands_where_it_stood_at_the_look_before()
    {
        const string Library = """
            35b1800000-35b1820000 r-xp 00000000 08:02 135522  /usr/lib/x86_64-linux-gnu/libcrypto.so.3
            Private_Dirty:         0 kB
            35b1820000-35b1830000 r--p 00020000 08:02 135522  /usr/lib/x86_64-linux-gnu/libcrypto.so.3
            Private_Dirty:         8 kB
            """;
        HashSet<string> seen = [];
        Assert.Equal([0x400000], Clean($"{Maps}\n{Library}", seen));
        Assert.Equal([0x400000, 0x35b1800000], Clean($"{Maps}\n{Library}", seen));
        string moved = Library.Replace("35b1820000", "35b1821000", StringComparison.Ordinal);
        Assert.Equal([0x400000], Clean($"{Maps}\n{moved}", seen));
    }

    private static long[] Clean(string maps, HashSet<string> seen)
    {
        HashSet<string> now = [];
        long[] starts =
        [
            .. ProgramPages
                .CleanPages(maps.ReplaceLineEndings("\n").Split('\n'), "/opt/tea hall/dancerwatch", seen, now)
                .Select(range => (long)range.Start),
        ];
        seen.Clear();
        seen.UnionWith(now);
        return starts;
    }

    [Fact]
    public void Pages_of_the_program_leave_memory_and_come_back_as_they_were()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "Only Linux tells of its pages in /proc.");
        string program = File.ResolveLinkTarget("/proc/self/exe", returnFinalTarget: false)!.FullName;
        (nuint start, _) = ProgramPages
            .CleanPages(
                File.ReadLines("/proc/self/smaps"),
                program,
                new HashSet<string>(),
                new HashSet<string>()
            )
            .Last();
        byte[] before = Page(start);
        Assert.True(ResidentKilobytes(start) > 0);

        ProgramPages.GiveBack();

        Assert.Equal(0, ResidentKilobytes(start));
        Assert.Equal(before, Page(start));
    }

    private static byte[] Page(nuint start)
    {
        byte[] page = new byte[4096];
        Marshal.Copy((nint)start, page, 0, page.Length);
        return page;
    }

    private static long ResidentKilobytes(nuint start)
    {
        string head = string.Create(CultureInfo.InvariantCulture, $"{(ulong)start:x8}-");
        string resident = File.ReadLines("/proc/self/smaps")
            .SkipWhile(line => !line.StartsWith(head, StringComparison.Ordinal))
            .First(line => line.StartsWith("Rss:", StringComparison.Ordinal));
        return long.Parse(
            resident[4..].Replace("kB", "", StringComparison.Ordinal),
            CultureInfo.InvariantCulture
        );
    }
}
