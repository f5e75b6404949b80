using System.Globalization;

namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>How far a file of a recording has come.</summary>
internal enum RecordedFileKind
{
    /// <summary>Parquet, whole.</summary>
    Finished,

    /// <summary>Readings as they come, before they are made into Parquet.</summary>
    Journal,

    /// <summary>Set aside, for it is not whole.</summary>
    Damaged,
}

/// <summary>
/// One file of a recording: <c>machine=NAME/day=YYYY-MM-DD/RUN-TICKS.parquet</c>. Its name puts it in order by what only ever
/// grows: the number of the run and the monotonic time of its first reading. The day, of the wall clock (UTC) of its readings,
/// is there for finding things, not for order. What begins with an underscore is passed over by tools that read folders of
/// Parquet files.
/// </summary>
internal sealed record RecordedFile(
    string Folder,
    string Machine,
    DateOnly Day,
    long Run,
    long Ticks,
    RecordedFileKind Kind
)
{
    private const string MachineKey = "machine=";
    private const string DayKey = "day=";
    private const string Finished = ".parquet";
    private const string Journal = ".journal";
    private const string Damaged = ".damaged";
    private const string Unfinished = ".unfinished";

    /// <summary>Files of one recording in the order in which their readings were taken.</summary>
    public static readonly Comparer<RecordedFile> Order = Comparer<RecordedFile>.Create(
        (a, b) =>
            a.Run != b.Run ? a.Run.CompareTo(b.Run)
            : a.Ticks != b.Ticks ? a.Ticks.CompareTo(b.Ticks)
            : string.CompareOrdinal(a.Path, b.Path)
    );

    public string Path { get; } =
        System.IO.Path.Combine(
            Folder,
            MachineKey + Uri.EscapeDataString(Machine),
            string.Create(CultureInfo.InvariantCulture, $"{DayKey}{Day:yyyy-MM-dd}"),
            Kind switch
            {
                RecordedFileKind.Finished => string.Create(
                    CultureInfo.InvariantCulture,
                    $"{Run:D6}-{Ticks:D16}{Finished}"
                ),
                RecordedFileKind.Journal => string.Create(
                    CultureInfo.InvariantCulture,
                    $"_{Run:D6}-{Ticks:D16}{Journal}"
                ),
                _ => string.Create(CultureInfo.InvariantCulture, $"_{Run:D6}-{Ticks:D16}{Damaged}"),
            }
        );

    /// <summary>The same readings, further on or set aside.</summary>
    public RecordedFile As(RecordedFileKind kind) => new(Folder, Machine, Day, Run, Ticks, kind);

    /// <summary>What a finished file is called until it is whole.</summary>
    public static string UnfinishedNameOf(string path) =>
        System.IO.Path.Combine(
            System.IO.Path.GetDirectoryName(path)!,
            $"_{System.IO.Path.GetFileNameWithoutExtension(path)}{Unfinished}"
        );

    public static bool IsUnfinished(string path) => path.EndsWith(Unfinished, StringComparison.Ordinal);

    /// <summary>The files of a recording, in order; nothing else that lies there.</summary>
    /// <exception cref="IOException">The folder cannot be read.</exception>
    public static List<RecordedFile> In(string folder)
    {
        List<RecordedFile> files = [];
        if (!Directory.Exists(folder))
            return files;
        foreach (string machine in Directory.EnumerateDirectories(folder, MachineKey + "*"))
        {
            string name = Uri.UnescapeDataString(System.IO.Path.GetFileName(machine)[MachineKey.Length..]);
            foreach (string day in Directory.EnumerateDirectories(machine, DayKey + "*"))
            {
                if (
                    !DateOnly.TryParseExact(
                        System.IO.Path.GetFileName(day)[DayKey.Length..],
                        "yyyy-MM-dd",
                        CultureInfo.InvariantCulture,
                        DateTimeStyles.None,
                        out DateOnly date
                    )
                )
                    continue;
                foreach (string path in Directory.EnumerateFiles(day))
                {
                    if (Parse(folder, name, date, System.IO.Path.GetFileName(path)) is { } file)
                        files.Add(file);
                }
            }
        }
        files.Sort(Order);
        return files;
    }

    private static RecordedFile? Parse(string folder, string machine, DateOnly day, string name)
    {
        RecordedFileKind kind;
        string ending;
        if (name.EndsWith(Finished, StringComparison.Ordinal))
            (kind, ending) = (RecordedFileKind.Finished, Finished);
        else if (name.EndsWith(Journal, StringComparison.Ordinal))
            (kind, ending) = (RecordedFileKind.Journal, Journal);
        else if (name.EndsWith(Damaged, StringComparison.Ordinal))
            (kind, ending) = (RecordedFileKind.Damaged, Damaged);
        else
            return null;
        string[] numbers = name[..^ending.Length].TrimStart('_').Split('-');
        return
            numbers.Length == 2
            && long.TryParse(numbers[0], NumberStyles.None, CultureInfo.InvariantCulture, out long run)
            && long.TryParse(numbers[1], NumberStyles.None, CultureInfo.InvariantCulture, out long ticks)
            ? new RecordedFile(folder, machine, day, run, ticks, kind)
            : null;
    }
}
