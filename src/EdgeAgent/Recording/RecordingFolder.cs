namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>
/// Recordings on disk, to read: also while a daemon writes them, and without touching anything. Files and journals that have
/// not become files yet read alike.
/// </summary>
public sealed class RecordingFolder
{
    private readonly List<RecordedFile> _files;

    private RecordingFolder(string path, List<RecordedFile> files) => (Path, _files) = (path, files);

    /// <summary>The ring, or the black box.</summary>
    public string Path { get; }

    /// <summary>Machines there are readings of, in the order of their names.</summary>
    public IReadOnlyList<string> Machines =>
        [.. _files.Select(file => file.Machine).Distinct().Order(StringComparer.Ordinal)];

    /// <summary>Whether a path is a directory that holds recordings.</summary>
    public static bool IsOne(string path) => RingIn(path) is not null;

    /// <param name="path">
    /// The recordings' directory (its ring is then read), or the ring or the black box in it, or a copy of one of them.
    /// </param>
    /// <exception cref="IOException">There are no recordings.</exception>
    public static RecordingFolder Open(string path)
    {
        string ring =
            RingIn(path)
            ?? throw new DirectoryNotFoundException(
                $"{path} holds no recordings. Name the directory of recordings (with folders machine=NAME in it, or in its folder {Recorder.RingFolder})."
            );
        return new RecordingFolder(ring, RecordedFile.In(ring));
    }

    /// <summary>Reads a machine's readings in the order in which they were taken.</summary>
    public RecordingReader Read(string machine, Period period) =>
        new([.. _files.Where(file => file.Machine == machine && period.Touches(file.Day))], period);

    private static string? RingIn(string path)
    {
        string ring = System.IO.Path.Combine(path, Recorder.RingFolder);
        return Directory.Exists(ring) ? ring
            : Directory.Exists(path) && Directory.EnumerateDirectories(path, "machine=*").Any() ? path
            : null;
    }
}
