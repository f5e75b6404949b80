using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Controllers.Recorded;

/// <summary>The names of the columns every trace may have beside those of its signals, and which column a signal stands in.</summary>
internal static class TraceColumns
{
    /// <summary>Monotonic time from any zero, s, to 7 decimals: one tick of 100 ns.</summary>
    public const string Seconds = "time_s";

    /// <summary>Wall-clock time, ISO 8601. Orders the rows where there is no <see cref="Seconds"/>.</summary>
    public const string Time = "time";

    /// <summary>Machine the row is of; a trace of one machine needs none.</summary>
    public const string Machine = "machine";

    /// <summary><c>good</c>, <c>partial</c> or <c>bad</c>; where there is none it follows from which cells are empty.</summary>
    public const string Quality = "quality";

    /// <summary>Names no signal's column may have.</summary>
    public static readonly string[] Reserved = [Seconds, Time, Machine, Quality];

    /// <summary>Column a signal of a machine stands in, unless configured otherwise: its own name.</summary>
    public static string Of(WatchedMachineSettings machine, Signal signal) =>
        machine.Columns.TryGetValue(signal, out string? column) ? column : signal.Code();

    /// <summary>Signals a trace may have for a machine: those that are read, and those a column is named for.</summary>
    public static IEnumerable<Signal> SignalsOf(WatchedMachineSettings machine) =>
        Enum.GetValues<Signal>()
            .Where(signal =>
                machine.Columns.ContainsKey(signal) || machine.Signals.Any(source => source.Signal == signal)
            );
}
