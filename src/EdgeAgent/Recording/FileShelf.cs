using Microsoft.Extensions.Logging;

namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>
/// The files of a ring, oldest first, and its bounds. Which is oldest is told by run and monotonic time: a wall clock that is
/// set deletes nothing. Days are counted as days on which something was recorded, for the same reason. One thread.
/// </summary>
/// <param name="leaveFree">Space of the disk that is to be left free, bytes: where less is, the ring grows no further.</param>
/// <param name="freeSpace">Space that is free on the disk, bytes.</param>
internal sealed class FileShelf(
    string folder,
    long maximumBytes,
    int maximumDays,
    long leaveFree,
    Func<long> freeSpace,
    ILogger logger
)
{
    /// <summary>Disks give space in blocks of so many bytes.</summary>
    private const long DiskBlock = 4096;

    private readonly SortedDictionary<RecordedFile, long> _files = new(RecordedFile.Order);

    /// <summary>What it may take since the disk had too little left; null while it has enough.</summary>
    private long? _heldBytes;

    public string Folder => folder;

    public long MaximumBytes => maximumBytes;

    /// <summary>Space that its files take, bytes.</summary>
    public long Bytes { get; private set; }

    /// <summary>Oldest first.</summary>
    public IReadOnlyCollection<RecordedFile> Files => _files.Keys;

    /// <summary>Notes a file, or another length of it.</summary>
    public void Set(RecordedFile file, long length)
    {
        long bytes = OnDisk(length);
        Bytes += bytes - _files.GetValueOrDefault(file);
        _files[file] = bytes;
    }

    /// <summary>Notes that a file is there no more.</summary>
    public void Remove(RecordedFile file)
    {
        if (_files.Remove(file, out long bytes))
            Bytes -= bytes;
    }

    /// <summary>Deletes the oldest files until <paramref name="length"/> bytes more are within the bounds.</summary>
    /// <returns>False where nothing is left to delete.</returns>
    public bool MakeRoom(long length)
    {
        long more = OnDisk(length);
        _heldBytes = freeSpace() - more < leaveFree ? _heldBytes ?? Bytes : null;
        long maximum = Math.Min(maximumBytes, _heldBytes ?? long.MaxValue);
        while (Bytes + more > maximum)
        {
            if (!DeleteOldest())
                return false;
        }
        return true;
    }

    /// <summary>Deletes files of more days than are to be kept.</summary>
    public void KeepDays()
    {
        while (_files.Keys.Select(file => file.Day).Distinct().Count() > maximumDays && DeleteOldest()) { }
    }

    private bool DeleteOldest()
    {
        // A journal is still to be made into a file of its own.
        if (_files.Keys.FirstOrDefault(file => file.Kind != RecordedFileKind.Journal) is not { } oldest)
            return false;
        File.Delete(oldest.Path);
        Remove(oldest);
        string day = Path.GetDirectoryName(oldest.Path)!;
        if (!Directory.EnumerateFileSystemEntries(day).Any())
            Directory.Delete(day);
        logger.OldestRecordingDeleted(oldest.Path);
        return true;
    }

    private static long OnDisk(long length) => (length + DiskBlock - 1) / DiskBlock * DiskBlock;
}
