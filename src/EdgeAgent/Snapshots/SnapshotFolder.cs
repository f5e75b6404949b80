using System.IO.Hashing;
using System.Text;
using Dancerwatch.EdgeAgent.Outbox.Disk;
using Dancerwatch.EdgeAgent.Watching;

namespace Dancerwatch.EdgeAgent.Snapshots;

/// <summary>
/// One file for each machine. A new snapshot is written beside the old one, flushed, and takes its place in one step, so that
/// there is always a whole one.
/// </summary>
internal sealed class SnapshotFolder(IStateFolder folder)
{
    private const string New = ".new";
    private const string Aside = ".aside";

    public string Path => folder.Path;

    /// <summary>Named after the machine, as far as a file may be, and after its whole place.</summary>
    public static string NameOf(MachinePlace place)
    {
        string readable = string.Concat(
            place.Machine.Take(40).Select(letter => char.IsAsciiLetterOrDigit(letter) ? letter : '-')
        );
        string place8 = Convert.ToHexStringLower(XxHash128.Hash(Encoding.UTF8.GetBytes(place.Path)), 0, 4);
        return $"{readable}-{place8}.snapshot";
    }

    /// <summary>A snapshot's bytes; null where there is none.</summary>
    /// <exception cref="IOException">It cannot be read.</exception>
    /// <exception cref="InvalidDataException">It is larger than any snapshot.</exception>
    public byte[]? Read(string name)
    {
        IStateFile file;
        try
        {
            file = folder.Open(name);
        }
        catch (FileNotFoundException)
        {
            return null;
        }
        using (file)
        {
            if (file.Length > SnapshotFrame.MostBytes)
                throw new InvalidDataException($"it has {file.Length} bytes");
            byte[] bytes = new byte[file.Length];
            int read = file.Read(0, bytes);
            return bytes[..read];
        }
    }

    /// <exception cref="IOException">It cannot be written; the old one is as it was.</exception>
    public void Write(string name, ReadOnlySpan<byte> bytes)
    {
        folder.Delete(name + New); // of a process that was killed
        try
        {
            using (IStateFile file = folder.Create(name + New, 0))
            {
                file.Write(0, bytes);
                file.Flush();
            }
            folder.Rename(name + New, name);
        }
        catch (IOException)
        {
            // Half a file must not take the space that others need.
            folder.Delete(name + New);
            throw;
        }
    }

    /// <summary>Deletes a snapshot; one that cannot be stays, and is put aside or restored at the next start.</summary>
    public void Delete(string name)
    {
        try
        {
            folder.Delete(name);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException) { }
    }

    /// <summary>Puts a snapshot out of the way, in the place of one put there before.</summary>
    /// <returns>Its new name.</returns>
    public string SetAside(string name)
    {
        folder.Rename(name, name + Aside);
        return name + Aside;
    }
}
