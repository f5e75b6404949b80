namespace Dancerwatch.EndToEnd.Tests.Program;

/// <summary>The sockets of a process, as Linux tells them (proc(5), /proc/PID/net).</summary>
internal static class ProcessSockets
{
    // State of a TCP socket that listens, and of a UDP socket that takes what anyone sends.
    private static readonly (string Table, string State)[] s_open =
    [
        ("tcp", "0A"),
        ("tcp6", "0A"),
        ("udp", "07"),
        ("udp6", "07"),
    ];

    /// <summary>Those that wait for others: table and local address in hexadecimal, such as <c>tcp 0100007F:075B</c>.</summary>
    public static IReadOnlyList<string> Listening(int process)
    {
        HashSet<string> own =
        [
            .. Directory
                .EnumerateFiles($"/proc/{process}/fd")
                .Select(fd => new FileInfo(fd).LinkTarget)
                .OfType<string>()
                .Where(target => target.StartsWith("socket:[", StringComparison.Ordinal))
                .Select(target => target["socket:[".Length..^1]),
        ];
        return
        [
            .. s_open.SelectMany(kind =>
                File.ReadLines($"/proc/{process}/net/{kind.Table}")
                    .Select(line => line.Split(' ', StringSplitOptions.RemoveEmptyEntries))
                    .Where(cells => cells.Length > 9 && cells[3] == kind.State && own.Contains(cells[9]))
                    .Select(cells => $"{kind.Table} {cells[1]}")
            ),
        ];
    }
}
