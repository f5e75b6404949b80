using System.Globalization;
using System.Text;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Controllers.Recorded;

/// <summary>
/// Reads a CSV trace row by row: a header, then one row for each reading, values in the signals' own units (see
/// <see cref="CsvTraceWriter"/>, which writes them). A row that cannot be used is left out, a cell that cannot be used is
/// unknown; both are counted in <see cref="Findings"/> and the rest goes on.
/// </summary>
public sealed class CsvTraceReader : IDisposable
{
    private static readonly string[] s_timeFormats =
    [
        "yyyy-MM-dd'T'HH:mm:ss.FFFFFFFK",
        "yyyy-MM-dd HH:mm:ss.FFFFFFFK",
    ];

    private readonly IReadOnlyList<WatchedMachineSettings> _machines;
    private readonly IReadOnlyCollection<string> _passedOver;
    private readonly StreamReader _text;
    private readonly bool _lastLineIsCut;
    private readonly CsvLine _cells;
    private readonly TraceHeader _header;
    private readonly long[] _lastTicks;
    private long _line;
    private string? _next;

    /// <summary>Reads the header.</summary>
    /// <param name="trace">UTF-8. A stream that can seek is looked at from its end too, to tell whether the last line is whole.</param>
    /// <param name="machines">The machines to read rows of.</param>
    /// <param name="passedOver">Names of machines whose rows are passed over in silence.</param>
    /// <exception cref="TraceException">The header has no time, or lacks what a machine requires.</exception>
    public CsvTraceReader(
        Stream trace,
        IReadOnlyList<WatchedMachineSettings> machines,
        IReadOnlyCollection<string>? passedOver = null
    )
    {
        _machines = machines;
        _passedOver = passedOver ?? [];
        _lastLineIsCut = EndsWithinALine(trace);
        _text = new StreamReader(trace, Encoding.UTF8);
        string header = ReadLine() ?? throw new TraceException("The file is empty.");
        _cells = new CsvLine(CsvLine.SeparatorOf(header));
        _cells.Split(header);
        _header = TraceHeader.Read(_cells, machines, Findings);
        _lastTicks = new long[machines.Count];
        Array.Fill(_lastTicks, long.MinValue);
        _next = ReadLine();
    }

    /// <summary>What was wrong up to here.</summary>
    public TraceFindings Findings { get; } = new();

    /// <summary>Rows used up to here.</summary>
    public long Rows { get; private set; }

    /// <summary>
    /// Wall-clock time (UTC) at ticks 0, by the first row that has a <c>time</c>; known from the first row on. A trace that
    /// counts seconds only is taken to start counting at 1970-01-01.
    /// </summary>
    public DateTimeOffset? Zero { get; private set; }

    /// <summary>Reads on to the next row that can be used.</summary>
    /// <returns>False at the end.</returns>
    public bool TryRead(out TraceRow row)
    {
        while (_next is { } line)
        {
            long number = _line;
            _next = ReadLine();
            if (line.Length == 0)
                continue;
            if (_next is null && _lastLineIsCut)
                Findings.Add(
                    "The last line has no line end, it may be cut and is left out",
                    number,
                    Shorten(line)
                );
            else if (TryParse(line, number, out row))
                return true;
        }
        row = default;
        return false;
    }

    public void Dispose() => _text.Dispose();

    private bool TryParse(string line, long number, out TraceRow row)
    {
        row = default;
        _cells.Split(line);
        if (_cells.Count != _header.Names.Count)
        {
            Findings.Add("Row with another number of cells than the header, left out", number, Shorten(line));
            return false;
        }
        if (MachineOf(number) is not { } machine || TicksOf(number) is not { } ticks)
            return false;
        if (!MovesForward(machine, ticks, number))
            return false;
        SignalValues values = SignalValues.Unknown;
        foreach ((Signal signal, int cell) in _header.Signals[machine])
            values[signal] = NumberOf(cell, number);
        row = new TraceRow(machine, new Reading(ticks, values, QualityOf(machine, values, number)));
        Rows++;
        return true;
    }

    /// <summary>Place of the row's machine; null where it is none of ours.</summary>
    private int? MachineOf(long number)
    {
        if (_header.Machine < 0)
            return 0;
        ReadOnlySpan<char> name = _cells[_header.Machine];
        for (int i = 0; i < _machines.Count; i++)
        {
            if (name.SequenceEqual(_machines[i].Name))
                return i;
        }
        string unknown = name.ToString();
        if (!_passedOver.Contains(unknown))
            Findings.Add(
                "Row of a machine the configuration does not know, left out",
                number,
                Shorten(unknown)
            );
        return null;
    }

    private long? TicksOf(long number)
    {
        DateTimeOffset? time = _header.Time < 0 ? null : TimeOf(_cells[_header.Time]);
        if (_header.Seconds < 0)
        {
            if (time is null)
                Findings.Add(
                    "Row whose time is not ISO 8601, left out",
                    number,
                    Shorten(_cells.Text(_header.Time))
                );
            Zero ??= time;
            return (time - Zero)?.Ticks;
        }
        long? ticks = SecondsOf(_cells[_header.Seconds]);
        if (ticks is null)
            Findings.Add(
                $"Row whose {TraceColumns.Seconds} is no number of seconds, left out",
                number,
                Shorten(_cells.Text(_header.Seconds))
            );
        else
            Zero ??= (time ?? DateTimeOffset.UnixEpoch.AddTicks(ticks.Value)).AddTicks(-ticks.Value);
        return ticks;
    }

    private static DateTimeOffset? TimeOf(ReadOnlySpan<char> cell) =>
        DateTimeOffset.TryParseExact(
            cell,
            s_timeFormats,
            CultureInfo.InvariantCulture,
            DateTimeStyles.AssumeUniversal | DateTimeStyles.AdjustToUniversal,
            out DateTimeOffset time
        )
            ? time
            : null;

    /// <summary>Exact: <see cref="decimal"/> holds 7 decimals of any number of seconds that fits.</summary>
    private static long? SecondsOf(ReadOnlySpan<char> cell)
    {
        const decimal longest = 100_000_000_000; // 3000 years: well within 64 bits of ticks
        return
            decimal.TryParse(cell, NumberStyles.Float, CultureInfo.InvariantCulture, out decimal seconds)
            && Math.Abs(seconds) <= longest
            ? (long)Math.Round(seconds * TimeSpan.TicksPerSecond)
            : null;
    }

    private bool MovesForward(int machine, long ticks, long number)
    {
        long last = _lastTicks[machine];
        if (ticks <= last)
        {
            Findings.Add(
                ticks == last
                    ? "Row with the time of the row before, left out"
                    : "Row with a time before that of the row before, left out",
                number,
                _cells.Text(_header.Seconds < 0 ? _header.Time : _header.Seconds)
            );
            return false;
        }
        _lastTicks[machine] = ticks;
        double longest = _machines[machine].Machine.Warnings.DataLost.Limit;
        if (last != long.MinValue && ticks - last > longest * TimeSpan.TicksPerSecond)
        {
            string gap = string.Create(
                CultureInfo.InvariantCulture,
                $"{(ticks - last) / (double)TimeSpan.TicksPerSecond:0.#} s"
            );
            Findings.Add($"No row of {_machines[machine].Name} for more than {longest} s", number, gap);
        }
        return true;
    }

    private double NumberOf(int cell, long number)
    {
        ReadOnlySpan<char> text = _cells[cell];
        if (text.IsEmpty)
            return double.NaN;
        if (double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value))
            return value;
        if (text.Equals("true", StringComparison.OrdinalIgnoreCase))
            return 1;
        if (text.Equals("false", StringComparison.OrdinalIgnoreCase))
            return 0;
        Findings.Add(
            $"Cell of column \"{_header.Names[cell]}\" that is no number, taken as unknown",
            number,
            Shorten(_cells.Text(cell))
        );
        return double.NaN;
    }

    private Quality QualityOf(int machine, in SignalValues values, long number)
    {
        if (_header.Quality >= 0)
        {
            switch (_cells[_header.Quality])
            {
                case "good":
                    return Quality.Good;
                case "partial":
                    return Quality.Partial;
                case "bad":
                    return Quality.Bad;
                default:
                    Findings.Add(
                        "Quality that is not good, partial or bad, taken from which cells are empty",
                        number,
                        Shorten(_cells.Text(_header.Quality))
                    );
                    break;
            }
        }
        if (double.IsNaN(values[Signal.Gap]) || double.IsNaN(values[Signal.UnwindSpeed]))
            return Quality.Bad;
        foreach ((Signal signal, int _) in _header.Signals[machine])
        {
            if (double.IsNaN(values[signal]))
                return Quality.Partial;
        }
        return Quality.Good;
    }

    private string? ReadLine()
    {
        _line++;
        return _text.ReadLine();
    }

    private static bool EndsWithinALine(Stream trace)
    {
        if (!trace.CanSeek || trace.Length == 0)
            return false;
        trace.Seek(-1, SeekOrigin.End);
        int last = trace.ReadByte();
        trace.Seek(0, SeekOrigin.Begin);
        return last is not ('\n' or '\r');
    }

    private static string Shorten(string text) =>
        text.Length <= 60 ? text : string.Concat(text.AsSpan(0, 60), "...");
}
