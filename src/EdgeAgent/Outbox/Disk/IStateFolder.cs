namespace Dancerwatch.EdgeAgent.Outbox.Disk;

/// <summary>A folder of a few files, no wider than the outbox needs it, so that a test can take its power away.</summary>
internal interface IStateFolder
{
    /// <summary>Where it is, for people.</summary>
    string Path { get; }

    IReadOnlyList<(string Name, long Length)> List();

    /// <summary>Makes a file that is not there yet.</summary>
    /// <param name="reserve">Space to take for it at once, bytes; its length stays 0.</param>
    /// <exception cref="IOException">There is no such space, or the file is there.</exception>
    IStateFile Create(string name, long reserve);

    /// <summary>Opens a file that is there.</summary>
    /// <exception cref="FileNotFoundException">It is not.</exception>
    IStateFile Open(string name);

    /// <summary>Opens a file, makes it where it is not there, and keeps it from everybody else until it is closed.</summary>
    /// <exception cref="IOException">Somebody else has it.</exception>
    IStateFile OpenAlone(string name);

    /// <summary>Deletes a file; nothing happens where it is not there.</summary>
    void Delete(string name);

    /// <summary>Gives a file another name; one that had that name is gone.</summary>
    void Rename(string name, string newName);
}

/// <summary>A file. Writing is not keeping: only what was flushed outlives a power cut.</summary>
internal interface IStateFile : IDisposable
{
    long Length { get; }

    /// <returns>Bytes read; fewer than asked for at the end of the file.</returns>
    int Read(long offset, Span<byte> into);

    void Write(long offset, ReadOnlySpan<byte> bytes);

    /// <summary>Returns once all that was written is on the disk.</summary>
    void Flush();

    /// <summary>Sets the length, and gives space back that was taken beyond it.</summary>
    void Truncate(long length);
}
