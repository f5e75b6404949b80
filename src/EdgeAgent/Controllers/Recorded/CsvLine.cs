namespace Dancerwatch.EdgeAgent.Controllers.Recorded;

/// <summary>
/// Splits one line of a CSV file (RFC 4180) into cells. Other than RFC 4180 allows, a cell ends with its line: a quote
/// that is never closed must not swallow the rest of a recording. Reused from line to line; allocates nothing per line.
/// </summary>
internal sealed class CsvLine(char separator)
{
    private const char Quote = '"';
    private readonly List<Range> _cells = [];
    private string _line = "";

    public int Count => _cells.Count;

    /// <summary>A cell without its quotes and surrounding blanks; quotes doubled within it stay doubled.</summary>
    public ReadOnlySpan<char> this[int cell] => _line.AsSpan()[_cells[cell]].Trim();

    /// <summary>A cell as text.</summary>
    public string Text(int cell) => this[cell].ToString().Replace("\"\"", "\"", StringComparison.Ordinal);

    /// <summary>Comma, semicolon or tab: whichever splits this line into the most cells.</summary>
    public static char SeparatorOf(string header) =>
        ",;\t".MaxBy(separator =>
        {
            CsvLine line = new(separator);
            line.Split(header);
            return line.Count;
        });

    public void Split(string line)
    {
        _line = line;
        _cells.Clear();
        int start = 0;
        while (true)
        {
            int end = line.IndexOf(separator, start);
            bool quoted = start < line.Length && line[start] == Quote;
            if (quoted)
            {
                int close = ClosingQuote(line, start + 1);
                _cells.Add((start + 1)..close);
                end = line.IndexOf(separator, close);
            }
            else
            {
                _cells.Add(start..(end < 0 ? line.Length : end));
            }
            if (end < 0)
                return;
            start = end + 1;
        }
    }

    /// <summary>Place of the quote that closes a cell, doubled ones skipped; the line's length where none does.</summary>
    private static int ClosingQuote(string line, int from)
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
}
