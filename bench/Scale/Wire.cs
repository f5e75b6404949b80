using System.Diagnostics;
using System.Globalization;
using System.Text.RegularExpressions;

namespace Dancerwatch.Scale;

/// <summary>Packets of TCP connections, as the kernel counts them (ss, iproute2).</summary>
internal static partial class Wire
{
    /// <summary>Segments sent and received so far by the clients of these ports.</summary>
    public static long Segments(IReadOnlyList<int> ports)
    {
        using Process ss = Process.Start(
            new ProcessStartInfo("ss", ["-tinOH", "state", "established"]) { RedirectStandardOutput = true }
        )!;
        HashSet<string> ends = [.. ports.Select(port => $"127.0.0.1:{port}")];
        long segments = 0;
        foreach (string line in ss.StandardOutput.ReadToEnd().Split('\n'))
        {
            string[] cells = line.Split(' ', 5, StringSplitOptions.RemoveEmptyEntries);
            if (cells.Length < 5 || !ends.Contains(cells[3]))
                continue;
            foreach (Match match in Counted().Matches(cells[4]))
                segments += long.Parse(match.Groups[1].ValueSpan, CultureInfo.InvariantCulture);
        }
        ss.WaitForExit();
        return segments;
    }

    [GeneratedRegex(@"\bsegs_(?:out|in):(\d+)")]
    private static partial Regex Counted();
}
