using System.Globalization;
using System.Text;
using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Controllers.Recorded;

/// <summary>
/// Writes readings so that <see cref="CsvTraceReader"/> reads exactly them again: time to the tick, numbers in the
/// shortest form that is read back to the same 64 bits, an empty cell for what is not known. Not thread-safe.
/// </summary>
public sealed class CsvTraceWriter
{
    private readonly TextWriter _into;
    private readonly IReadOnlyList<WatchedMachineSettings> _machines;
    private readonly StringBuilder _line = new(256);

    /// <summary>For each machine and each signal column the signal that stands there; null where the machine has none.</summary>
    private readonly Signal?[][] _signals;

    /// <summary>Writes the header.</summary>
    public CsvTraceWriter(TextWriter into, IReadOnlyList<WatchedMachineSettings> machines)
    {
        _into = into;
        _machines = machines;
        List<string> columns =
        [
            .. machines
                .SelectMany(machine =>
                    TraceColumns.SignalsOf(machine).Select(signal => TraceColumns.Of(machine, signal))
                )
                .Distinct(),
        ];
        _signals = [.. machines.Select(machine => SignalsIn(columns, machine))];
        _into.Write(string.Join(',', TraceColumns.Reserved.Concat(columns.Select(Quoted))) + "\n");
    }

    /// <summary>Writes one reading.</summary>
    /// <param name="machine">Place of its machine in the list.</param>
    /// <param name="reading">The reading.</param>
    /// <param name="time">Its wall-clock time, for people and for the stamps of a replay.</param>
    /// <exception cref="IOException">The file cannot be written.</exception>
    public void Write(int machine, in Reading reading, DateTimeOffset time)
    {
        CultureInfo culture = CultureInfo.InvariantCulture;
        decimal seconds = reading.Ticks / (decimal)TimeSpan.TicksPerSecond;
        string quality = reading.Quality switch
        {
            Quality.Good => "good",
            Quality.Partial => "partial",
            _ => "bad",
        };
        _line.Clear();
        _line.Append(culture, $"{seconds:F7},{time.UtcDateTime:yyyy-MM-ddTHH:mm:ss.fffffffZ},");
        _line.Append(Quoted(_machines[machine].Name)).Append(',').Append(quality);
        foreach (Signal? signal in _signals[machine])
        {
            _line.Append(',');
            if (signal is { } known && reading[known] is double value && !double.IsNaN(value))
                _line.Append(culture, $"{value}");
        }
        _line.Append('\n');
        _into.Write(_line);
    }

    private static Signal?[] SignalsIn(List<string> columns, WatchedMachineSettings machine)
    {
        Dictionary<string, Signal> signals = TraceColumns
            .SignalsOf(machine)
            .ToDictionary(signal => TraceColumns.Of(machine, signal));
        return
        [
            .. columns.Select(column =>
                signals.TryGetValue(column, out Signal signal) ? signal : (Signal?)null
            ),
        ];
    }

    private static string Quoted(string text) =>
        text.AsSpan().ContainsAny(",;\t\"")
            ? $"\"{text.Replace("\"", "\"\"", StringComparison.Ordinal)}\""
            : text;
}
