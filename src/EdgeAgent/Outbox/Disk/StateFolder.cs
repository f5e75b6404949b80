using Microsoft.Win32.SafeHandles;

namespace Dancerwatch.EdgeAgent.Outbox.Disk;

/// <summary>A folder of the file system.</summary>
/// <remarks>
/// The runtime cannot flush a folder itself. ext4, XFS and Btrfs bring a new file's name to disk when the file is flushed
/// (from memory). A name that comes back after a power cut, of a file that was deleted, does no harm here.
/// </remarks>
internal sealed class StateFolder(string path) : IStateFolder
{
    public string Path { get; } = path;

    /// <summary>Opens a folder in the state directory, and makes what is not there.</summary>
    /// <exception cref="IOException">It cannot be had; the message says what to try.</exception>
    public static StateFolder Open(string stateDirectory, string name)
    {
        try
        {
            string path = System.IO.Path.Combine(stateDirectory, name);
            Directory.CreateDirectory(path);
            return new StateFolder(path);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            throw Unusable(stateDirectory, e);
        }
    }

    /// <summary>The one clear error for a state directory that does not serve.</summary>
    public static IOException Unusable(string path, Exception failure) =>
        new(
            $"stateDirectory is of no use at {path}: {failure.Message.TrimEnd('.')}. Allowed: a directory of this daemon alone that its user may write to, with space left. Correct its owner, or name another under stateDirectory.",
            failure
        );

    public IReadOnlyList<(string Name, long Length)> List() =>
        [.. new DirectoryInfo(Path).EnumerateFiles().Select(file => (file.Name, file.Length))];

    public IStateFile Create(string name, long reserve) =>
        new StateFile(
            File.OpenHandle(
                PathOf(name),
                FileMode.CreateNew,
                FileAccess.ReadWrite,
                FileShare.ReadWrite | FileShare.Delete,
                preallocationSize: reserve
            )
        );

    public IStateFile Open(string name) =>
        new StateFile(
            File.OpenHandle(
                PathOf(name),
                FileMode.Open,
                FileAccess.ReadWrite,
                FileShare.ReadWrite | FileShare.Delete
            )
        );

    public IStateFile OpenAlone(string name) =>
        new StateFile(
            File.OpenHandle(PathOf(name), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None)
        );

    public void Delete(string name) => File.Delete(PathOf(name));

    public void Rename(string name, string newName) =>
        File.Move(PathOf(name), PathOf(newName), overwrite: true);

    private string PathOf(string name) => System.IO.Path.Combine(Path, name);

    private sealed class StateFile(SafeFileHandle handle) : IStateFile
    {
        public long Length => RandomAccess.GetLength(handle);

        public int Read(long offset, Span<byte> into)
        {
            int read = 0;
            while (read < into.Length)
            {
                int more = RandomAccess.Read(handle, into[read..], offset + read);
                if (more == 0)
                    break;
                read += more;
            }
            return read;
        }

        public void Write(long offset, ReadOnlySpan<byte> bytes) => RandomAccess.Write(handle, bytes, offset);

        public void Flush() => RandomAccess.FlushToDisk(handle);

        public void Truncate(long length) => RandomAccess.SetLength(handle, length);

        public void Dispose() => handle.Dispose();
    }
}
