using System.Buffers.Binary;
using Dancerwatch.EdgeAgent.Outbox.Segments;

namespace Dancerwatch.EdgeAgent.Outbox.Disk;

/// <summary>
/// Keeps the cursor in a file of three places, which take turns: one holds what is surely on disk, one what is being
/// flushed, one what is saved meanwhile. So a kill at any instant finds the cursor as it was saved last, and a power cut
/// finds one that was flushed. The open file also keeps a second daemon out.
/// </summary>
/// <remarks>
/// A place is a record (see <see cref="SegmentRecord"/>) whose sequence counts the saves and whose content is four numbers of 8
/// bytes. Places are 4096 bytes apart: no write to a disk touches two.
/// </remarks>
internal sealed class CursorFile : IDisposable
{
    public const string Name = "cursor";

    private const int Places = 3;
    private const int PlaceLength = 4096;
    private const int ContentLength = 4 * sizeof(long);

    private readonly Lock _gate = new();
    private readonly IStateFile _file;
    private long _saves;
    private int _onDisk;
    private int _saving;
    private Cursor _latest;
    private bool _isWritten;
    private Cursor? _flushed;

    private CursorFile(IStateFile file)
    {
        _file = file;
        // What an earlier run wrote and did not flush counts as found below, so it must be as safe as it looks.
        file.Flush();
        byte[] place = new byte[SegmentRecord.SizeOf(ContentLength)];
        for (int i = 0; i < Places; i++)
        {
            int length = file.Read(i * PlaceLength, place);
            if (
                !SegmentRecord.TryRead(place.AsSpan(0, length), out long save, out ReadOnlySpan<byte> content)
                || save <= _saves
            )
                continue;
            _saves = save;
            _onDisk = i;
            Found = Decode(content);
        }
        _saving = (_onDisk + 1) % Places;
        // All its space at once: a disk that fills up must not stop the cursor.
        if (file.Length < Places * PlaceLength)
            file.Write(file.Length, new byte[Places * PlaceLength - file.Length]);
    }

    /// <summary>What an earlier run saved last; null for a new or damaged file.</summary>
    public Cursor? Found { get; }

    /// <exception cref="IOException">The file cannot be had, or another daemon has it.</exception>
    /// <exception cref="UnauthorizedAccessException">It is not ours to write.</exception>
    public static CursorFile Open(IStateFolder folder) => new(folder.OpenAlone(Name));

    /// <summary>Takes the cursor: safe from a kill on return, and from a power cut after the next <see cref="Flush"/>.</summary>
    /// <exception cref="IOException">It is not written; the next flush tries again.</exception>
    public void Save(Cursor cursor)
    {
        lock (_gate)
        {
            _latest = cursor;
            _isWritten = false;
            Write();
        }
    }

    /// <summary>Brings what was saved to disk.</summary>
    /// <returns>What is on disk now, or something later.</returns>
    /// <exception cref="IOException">It is not known to be on disk.</exception>
    public Cursor Flush()
    {
        Cursor cursor;
        int flushing;
        lock (_gate)
        {
            cursor = _latest;
            if (cursor == _flushed)
                return cursor;
            if (!_isWritten)
                Write();
            flushing = _saving;
            _saving = Enumerable.Range(0, Places).First(i => i != _onDisk && i != flushing);
            _isWritten = false; // not there, at least
        }
        _file.Flush();
        lock (_gate)
            _onDisk = flushing;
        _flushed = cursor;
        return cursor;
    }

    public void Dispose() => _file.Dispose();

    private void Write()
    {
        Span<byte> content = stackalloc byte[ContentLength];
        BinaryPrimitives.WriteInt64LittleEndian(content, _latest.Done);
        BinaryPrimitives.WriteInt64LittleEndian(content[8..], _latest.Untold.First);
        BinaryPrimitives.WriteInt64LittleEndian(content[16..], _latest.Untold.Last);
        BinaryPrimitives.WriteInt64LittleEndian(content[24..], _latest.Untold.Events);
        Span<byte> place = stackalloc byte[SegmentRecord.SizeOf(ContentLength)];
        SegmentRecord.Write(place, ++_saves, content);
        _file.Write(_saving * PlaceLength, place);
        _isWritten = true;
    }

    private static Cursor? Decode(ReadOnlySpan<byte> content) =>
        content.Length == ContentLength
            ? new Cursor(
                BinaryPrimitives.ReadInt64LittleEndian(content),
                new LostRange(
                    BinaryPrimitives.ReadInt64LittleEndian(content[8..]),
                    BinaryPrimitives.ReadInt64LittleEndian(content[16..]),
                    BinaryPrimitives.ReadInt64LittleEndian(content[24..])
                )
            )
            : null;
}
