using System.Buffers;
using System.Text;

namespace Dancerwatch.EdgeAgent.Controllers.Recorded;

/// <summary>
/// Splits one line of a CSV file (RFC 4180, UTF-8) into cells. Other than RFC 4180 allows, a cell ends with its line: a quote
/// that is never closed must not swallow the rest of a recording. Reused from line to line; allocates nothing per line.
/// </summary>
internal sealed class CsvLine(char separator)
{
    private const byte Quote = (byte)'"';
    private readonly byte _separator = (byte)separator;
    private ArraySegment<byte> _line;

    /// <summary>Where the cells begin and end in the line, one after the other.</summary>
    private int[] _bounds = new int[64];

    public int Count { get; private set; }

    /// <summary>A cell without its quotes and surrounding blanks; quotes doubled within it stay doubled.</summary>
    public ReadOnlySpan<byte> this[int cell]
    {
        get
        {
            int start = _bounds[2 * cell];
            return Trim(_line.AsSpan(start, _bounds[(2 * cell) + 1] - start));
        }
    }

    /// <summary>A cell as text.</summary>
    public string Text(int cell) =>
        Encoding.UTF8.GetString(this[cell]).Replace("\"\"", "\"", StringComparison.Ordinal);

    /// <summary>Comma, semicolon or tab: whichever splits this line into the most cells.</summary>
    public static char SeparatorOf(ArraySegment<byte> header) =>
        ",;\t".MaxBy(separator =>
        {
            CsvLine line = new(separator);
            line.Split(header);
            return line.Count;
        });

    public void Split(ArraySegment<byte> line)
    {
        _line = line;
        Count = 0;
        ReadOnlySpan<byte> bytes = line;
        int start = 0;
        while (true)
        {
            bool isQuoted = start < bytes.Length && bytes[start] == Quote;
            if (isQuoted)
                start++;
            int close = isQuoted ? ClosingQuote(bytes, start) : start;
            int length = bytes[close..].IndexOf(_separator);
            int end = length < 0 ? bytes.Length : close + length;
            Add(start, isQuoted ? close : end);
            if (length < 0)
                return;
            start = end + 1;
        }
    }

    private void Add(int start, int end)
    {
        if (2 * Count == _bounds.Length)
            Array.Resize(ref _bounds, 2 * _bounds.Length);
        _bounds[2 * Count] = start;
        _bounds[(2 * Count) + 1] = end;
        Count++;
    }

    /// <summary>Place of the quote that closes a cell, doubled ones skipped; the line's length where none does.</summary>
    private static int ClosingQuote(ReadOnlySpan<byte> line, int from)
    {
        for (int i = from; i < line.Length; i++)
        {
            if (line[i] != Quote)
                continue;
            if (i + 1 == line.Length || line[i + 1] != Quote)
                return i;
            i++;
        }
        return line.Length;
    }

    private static ReadOnlySpan<byte> Trim(ReadOnlySpan<byte> cell)
    {
        // Letters and digits are neither blanks nor the beginning of one that takes several bytes.
        while (
            !cell.IsEmpty
            && !char.IsAsciiLetterOrDigit((char)cell[0])
            && Rune.DecodeFromUtf8(cell, out Rune rune, out int bytes) == OperationStatus.Done
            && Rune.IsWhiteSpace(rune)
        )
            cell = cell[bytes..];
        while (
            !cell.IsEmpty
            && !char.IsAsciiLetterOrDigit((char)cell[^1])
            && Rune.DecodeLastFromUtf8(cell, out Rune rune, out int bytes) == OperationStatus.Done
            && Rune.IsWhiteSpace(rune)
        )
            cell = cell[..^bytes];
        return cell;
    }
}
