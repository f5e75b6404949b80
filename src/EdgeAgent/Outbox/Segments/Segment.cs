using System.Globalization;

namespace Dancerwatch.EdgeAgent.Outbox.Segments;

/// <summary>One file of records. Named after the number of its first event, so that names sort as their events.</summary>
internal sealed class Segment(long first, long length)
{
    private const string Extension = ".events";
    private long _length = length;

    /// <summary>Number of its first event; those of the segments before are lower.</summary>
    public long First { get; } = first;

    public string Name => First.ToString("D16", CultureInfo.InvariantCulture) + Extension;

    /// <summary>Bytes that are safe on disk. Grows with each write while it is the newest.</summary>
    public long Length
    {
        get => Interlocked.Read(ref _length);
        set => Interlocked.Exchange(ref _length, value);
    }

    /// <summary>The number in a segment's name; null for other files.</summary>
    public static long? FirstOf(string name) =>
        Path.GetExtension(name) == Extension
        && long.TryParse(
            Path.GetFileNameWithoutExtension(name),
            NumberStyles.None,
            CultureInfo.InvariantCulture,
            out long first
        )
        && new Segment(first, length: 0).Name == name
            ? first
            : null;
}
