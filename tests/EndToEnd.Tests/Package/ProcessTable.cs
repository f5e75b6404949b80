using System.Globalization;

namespace Dancerwatch.EndToEnd.Tests.Package;

/// <summary>Processes, as Linux tells them (proc(5)).</summary>
internal static class ProcessTable
{
    /// <summary>Children of a process; none where it has ended.</summary>
    public static IReadOnlyList<int> Children(int process)
    {
        try
        {
            string children = File.ReadAllText($"/proc/{process}/task/{process}/children");
            return
            [
                .. children
                    .Split(' ', StringSplitOptions.RemoveEmptyEntries)
                    .Select(child => int.Parse(child, CultureInfo.InvariantCulture)),
            ];
        }
        catch (IOException)
        {
            return [];
        }
    }

    /// <summary>What a process runs; null where that cannot be told.</summary>
    public static string? Executable(int process) => new FileInfo($"/proc/{process}/exe").LinkTarget;

    /// <summary>One field of a process's status, such as <c>Uid</c>; words apart by single blanks.</summary>
    public static string Status(int process, string field) =>
        File.ReadLines($"/proc/{process}/status")
            .First(line => line.StartsWith($"{field}:", StringComparison.Ordinal))[(field.Length + 1)..]
            .Replace('\t', ' ')
            .Trim();
}
