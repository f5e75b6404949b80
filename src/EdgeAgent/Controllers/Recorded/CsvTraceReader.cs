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
    private static readonly string s_tooLong = $"Row of more than {Utf8Lines.Longest} bytes, left out";

    private readonly IReadOnlyList<WatchedMachineSettings> _machines;

    /// <summary>Names as rows have them: of the machines, then of those that are passed over.</summary>
    private readonly byte[][] _names;
    private readonly Utf8Lines _lines;
    private readonly CsvLine _cells;
    private readonly TraceHeader _header;
    private readonly long[] _lastTicks;
    private int _latestName;

    // Put into words once, not for each row of a file that may have millions of them.
    private readonly string[] _noNumber;
    private readonly string[] _noRow;

    /// <summary>Reads the header.</summary>
    /// <param name="trace">UTF-8; where it can seek, also the UTF-16 or UTF-32 that its first bytes tell of.</param>
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
        _names =
        [
            .. machines
                .Select(machine => machine.Name)
                .Concat(passedOver ?? [])
                .Select(Encoding.UTF8.GetBytes),
        ];
        _lines = new Utf8Lines(trace);
        if (!_lines.TryRead(out ArraySegment<byte> header))
            throw new TraceException("The file is empty.");
        _cells = new CsvLine(CsvLine.SeparatorOf(header));
        _cells.Split(header);
        _header = TraceHeader.Read(_cells, machines, Findings);
        _noNumber =
        [
            .. _header.Names.Select(name => $"Cell of column \"{name}\" that is no number, taken as unknown"),
        ];
        _noRow =
        [
            .. machines.Select(machine => $"No row of {machine.Name} for more than {Longest(machine)} s"),
        ];
        _lastTicks = new long[machines.Count];
        Array.Fill(_lastTicks, long.MinValue);
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
    /// <exception cref="IOException">The trace cannot be read.</exception>
    public bool TryRead(out TraceRow row)
    {
        while (_lines.TryRead(out ArraySegment<byte> line))
        {
            if (line.Count == 0)
                continue;
            if (_lines.IsCut)
                Find("The last line has no line end, it may be cut and is left out", line);
            else if (_lines.IsTooLong)
                Find(s_tooLong, line);
            else if (TryParse(line, out row))
                return true;
        }
        row = default;
        return false;
    }

    public void Dispose() => _lines.Dispose();

    private bool TryParse(ArraySegment<byte> line, out TraceRow row)
    {
        row = default;
        _cells.Split(line);
        if (_cells.Count != _header.Names.Count)
        {
            Find("Row with another number of cells than the header, left out", line);
            return false;
        }
        if (MachineOfRow() is not { } machine || TicksOfRow() is not { } ticks)
            return false;
        if (!MovesForward(machine, ticks))
            return false;
        SignalValues values = SignalValues.Unknown;
        foreach ((Signal signal, int cell) in _header.Signals[machine])
            values[signal] = NumberOf(cell);
        row = new TraceRow(machine, new Reading(ticks, values, QualityOf(machine, values)));
        Rows++;
        return true;
    }

    /// <summary>Place of the row's machine; null where it is none of ours.</summary>
    private int? MachineOfRow()
    {
        if (_header.Machine < 0)
            return 0;
        ReadOnlySpan<byte> name = _cells[_header.Machine];
        // Machines take turns, or each has its rows together: it is the latest or the one after.
        for (int i = 0; i < _names.Length; i++)
        {
            int place = (_latestName + i) % _names.Length;
            if (!name.SequenceEqual(_names[place]))
                continue;
            _latestName = place;
            return place < _machines.Count ? place : null;
        }
        Find("Row of a machine the configuration does not know, left out", _header.Machine);
        return null;
    }

    private long? TicksOfRow()
    {
        if (_header.Seconds < 0)
        {
            DateTimeOffset? time = CsvCell.Time(_cells[_header.Time]);
            if (time is null)
                Find("Row whose time is not ISO 8601, left out", _header.Time);
            Zero ??= time;
            return (time - Zero)?.Ticks;
        }
        long? ticks = CsvCell.Ticks(_cells[_header.Seconds]);
        if (ticks is null)
            Find($"Row whose {TraceColumns.Seconds} is no number of seconds, left out", _header.Seconds);
        else
            Zero ??= ZeroBy(ticks.Value);
        return ticks;
    }

    private DateTimeOffset ZeroBy(long ticks)
    {
        DateTimeOffset? time = _header.Time < 0 ? null : CsvCell.Time(_cells[_header.Time]);
        return (time ?? DateTimeOffset.UnixEpoch.AddTicks(ticks)).AddTicks(-ticks);
    }

    private bool MovesForward(int machine, long ticks)
    {
        long last = _lastTicks[machine];
        if (ticks <= last)
        {
            Find(
                ticks == last
                    ? "Row with the time of the row before, left out"
                    : "Row with a time before that of the row before, left out",
                _header.Seconds < 0 ? _header.Time : _header.Seconds
            );
            return false;
        }
        _lastTicks[machine] = ticks;
        if (last == long.MinValue)
            return true;
        double gap = (ticks - last) / (double)TimeSpan.TicksPerSecond;
        if (gap > Longest(_machines[machine]) && !Findings.IsKnown(_noRow[machine]))
            Findings.Add(
                _noRow[machine],
                _lines.Number,
                string.Create(CultureInfo.InvariantCulture, $"{gap:0.#} s")
            );
        return true;
    }

    /// <summary>So long, in seconds, a machine's rows may be apart.</summary>
    private static double Longest(WatchedMachineSettings machine) => machine.Machine.Warnings.DataLost.Limit;

    private double NumberOf(int cell)
    {
        ReadOnlySpan<byte> text = _cells[cell];
        if (text.IsEmpty)
            return double.NaN;
        if (CsvCell.TryNumber(text, out double value))
            return value;
        Find(_noNumber[cell], cell);
        return double.NaN;
    }

    private Quality QualityOf(int machine, in SignalValues values)
    {
        if (_header.Quality >= 0)
        {
            ReadOnlySpan<byte> word = _cells[_header.Quality];
            if (word.SequenceEqual("good"u8))
                return Quality.Good;
            if (word.SequenceEqual("partial"u8))
                return Quality.Partial;
            if (word.SequenceEqual("bad"u8))
                return Quality.Bad;
            Find(
                "Quality that is not good, partial or bad, taken from which cells are empty",
                _header.Quality
            );
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

    private void Find(string what, int cell)
    {
        if (!Findings.IsKnown(what))
            Findings.Add(what, _lines.Number, Shorten(_cells.Text(cell)));
    }

    private void Find(string what, ReadOnlySpan<byte> line)
    {
        if (!Findings.IsKnown(what))
            Findings.Add(
                what,
                _lines.Number,
                Shorten(Encoding.UTF8.GetString(line[..Math.Min(line.Length, 300)]))
            );
    }

    private static string Shorten(string text) =>
        text.Length <= 60 ? text : string.Concat(text.AsSpan(0, 60), "...");
}
