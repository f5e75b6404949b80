using System.Text;

namespace Dancerwatch.EdgeAgent.Controllers.Recorded;

/// <summary>
/// Lines of a text as bytes of UTF-8, each good until the next is asked for. A line ends with LF, CR or both. Allocates
/// nothing per line, and holds a block of the text or the longest line so far.
/// </summary>
internal sealed class Utf8Lines : IDisposable
{
    /// <summary>What a line has beyond it is passed over, bytes.</summary>
    public const int Longest = 1 << 20;

    private const int Block = 1 << 17;
    private const byte Feed = (byte)'\n';
    private const byte Return = (byte)'\r';

    private readonly Stream _text;
    private byte[] _bytes = new byte[Block];
    private int _start;
    private int _end;
    private bool _isAfterReturn;
    private bool _isWithinALine;

    /// <param name="text">UTF-8; where it can seek, also the UTF-16 or UTF-32 that its first bytes tell of.</param>
    public Utf8Lines(Stream text)
    {
        _text = WideEncodingOf(text) is { } wide
            ? Encoding.CreateTranscodingStream(text, wide, Encoding.UTF8)
            : text;
        ReadOnlySpan<byte> mark = Encoding.UTF8.Preamble;
        while (_end < mark.Length && Fill()) { }
        if (_bytes.AsSpan(0, _end).StartsWith(mark))
            _start = mark.Length;
    }

    /// <summary>Number of the latest line, from 1.</summary>
    public long Number { get; private set; }

    /// <summary>Whether the text ended before the latest line did.</summary>
    public bool IsCut { get; private set; }

    /// <summary>Whether the latest line is the beginning of one that is longer than <see cref="Longest"/>.</summary>
    public bool IsTooLong { get; private set; }

    /// <summary>Reads on to the next line, without its end.</summary>
    /// <returns>False after the last.</returns>
    /// <exception cref="IOException">The text cannot be read.</exception>
    public bool TryRead(out ArraySegment<byte> line)
    {
        PassOver();
        int length = 0;
        int end;
        while ((end = EndFrom(_start + length)) < 0)
        {
            length = _end - _start;
            if (length > Longest || !Fill())
                break;
        }
        if (end >= 0)
            length = end - _start;
        line = new ArraySegment<byte>(_bytes, _start, Math.Min(length, Longest));
        if (end < 0 && length == 0)
            return false;
        Number++;
        IsTooLong = length > Longest;
        IsCut = end < 0 && !IsTooLong;
        _isWithinALine = end < 0;
        if (!_isWithinALine)
            PassEnd(end);
        else
            _start = _end;
        return true;
    }

    public void Dispose() => _text.Dispose();

    /// <summary>What is left of a line that is too long, and the second half of an end that is both.</summary>
    private void PassOver()
    {
        while (_isWithinALine)
        {
            int end = EndFrom(_start);
            if (end >= 0)
                PassEnd(end);
            _isWithinALine = end < 0;
            if (!_isWithinALine)
                break;
            _start = _end;
            if (!Fill())
                return;
        }
        if (_isAfterReturn && (_start < _end || Fill()) && _bytes[_start] == Feed)
            _start++;
        _isAfterReturn = false;
    }

    private int EndFrom(int from)
    {
        int end = _bytes.AsSpan(from, _end - from).IndexOfAny(Feed, Return);
        return end < 0 ? -1 : from + end;
    }

    private void PassEnd(int end)
    {
        _isAfterReturn = _bytes[end] == Return;
        _start = end + 1;
    }

    /// <summary>Reads more behind what is held.</summary>
    private bool Fill()
    {
        _bytes.AsSpan(_start, _end - _start).CopyTo(_bytes);
        (_start, _end) = (0, _end - _start);
        if (_end == _bytes.Length)
            Array.Resize(ref _bytes, 2 * _bytes.Length);
        int read = _text.Read(_bytes, _end, _bytes.Length - _end);
        _end += read;
        return read > 0;
    }

    private static Encoding? WideEncodingOf(Stream text)
    {
        if (!text.CanSeek)
            return null;
        Span<byte> first = stackalloc byte[4];
        first = first[..text.ReadAtLeast(first, first.Length, throwOnEndOfStream: false)];
        text.Seek(-first.Length, SeekOrigin.Current);
        return first switch
        {
            [0xFF, 0xFE, 0, 0] => Encoding.UTF32,
            [0, 0, 0xFE, 0xFF] => new UTF32Encoding(bigEndian: true, byteOrderMark: true),
            [0xFF, 0xFE, ..] => Encoding.Unicode,
            [0xFE, 0xFF, ..] => Encoding.BigEndianUnicode,
            _ => null,
        };
    }
}
