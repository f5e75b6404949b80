using Dancerwatch.EdgeAgent.Configuration;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Controllers.Recorded;

/// <summary>A trace that cannot be read at all: its message says what is missing, in as many sentences as there are reasons.</summary>
public sealed class TraceException(string message) : IOException(message);

/// <summary>Which cell of a row holds what, found once from the header.</summary>
internal sealed class TraceHeader
{
    /// <summary>Longer than a machine's and a signal's name together.</summary>
    private const int LongestName = 200;

    /// <summary>More columns are not told one by one.</summary>
    private const int MostTold = 60;

    private TraceHeader(List<string> names)
    {
        Names = names;
        Seconds = names.IndexOf(TraceColumns.Seconds);
        Time = names.IndexOf(TraceColumns.Time);
        Machine = names.IndexOf(TraceColumns.Machine);
        Quality = names.IndexOf(TraceColumns.Quality);
    }

    /// <summary>The columns' names, one for each cell of a row.</summary>
    public IReadOnlyList<string> Names { get; }

    /// <summary>Cell of each; -1 where the trace has none.</summary>
    public int Seconds { get; }

    /// <inheritdoc cref="Seconds"/>
    public int Time { get; }

    /// <inheritdoc cref="Seconds"/>
    public int Machine { get; }

    /// <inheritdoc cref="Seconds"/>
    public int Quality { get; }

    /// <summary>For each machine: its signals and their cells.</summary>
    public (Signal Signal, int Cell)[][] Signals { get; private set; } = [];

    /// <summary>Finds the columns of the machines. An optional signal without a column is a finding.</summary>
    /// <exception cref="TraceException">There is no time, or a required signal has no column, or the rows' machine cannot be told.</exception>
    public static TraceHeader Read(
        CsvLine line,
        IReadOnlyList<WatchedMachineSettings> machines,
        TraceFindings findings
    )
    {
        List<string> names = [.. Enumerable.Range(0, line.Count).Select(line.Text)];
        if (names.Find(name => name.Length > LongestName) is { } endless)
            throw new TraceException(
                $"The header has a name of {endless.Length} letters, it begins with \"{endless[..40]}\"; allowed are up to {LongestName}. Is this a trace?"
            );
        TraceHeader header = new(names);
        List<string> reasons = [];
        if (header.Seconds < 0 && header.Time < 0)
            reasons.Add(
                $"There is no column {TraceColumns.Seconds} (seconds) or {TraceColumns.Time} (ISO 8601)."
            );
        if (header.Machine < 0 && machines.Count > 1)
            reasons.Add(
                $"There is no column {TraceColumns.Machine}: say which machine it is with --machine."
            );
        foreach (
            IGrouping<string, string> name in names.GroupBy(name => name).Where(group => group.Count() > 1)
        )
            reasons.Add($"Column \"{name.Key}\" is there {name.Count()} times.");
        header.Signals = [.. machines.Select(machine => CellsOf(machine, names, reasons, findings))];
        return reasons.Count == 0
            ? header
            : throw new TraceException(
                $"{string.Join('\n', reasons.Distinct().Take(MostTold))}\nThe header has: {string.Join(", ", names.Take(MostTold))}{(names.Count > MostTold ? $" and {names.Count - MostTold} more" : "")}."
            );
    }

    private static (Signal, int)[] CellsOf(
        WatchedMachineSettings machine,
        List<string> names,
        List<string> reasons,
        TraceFindings findings
    )
    {
        Dictionary<Signal, string> columns = TraceColumns
            .SignalsOf(machine)
            .ToDictionary(signal => signal, signal => TraceColumns.Of(machine, signal));
        string[] free = [.. names.Except(columns.Values).Except(TraceColumns.Reserved)];
        List<(Signal, int)> cells = [];
        List<string> missing = [];
        foreach ((Signal signal, string column) in columns)
        {
            int cell = names.IndexOf(column);
            string hint = NearestWord.Of(column, free) is { } meant ? $" (is it \"{meant}\"?)" : "";
            if (cell >= 0)
                cells.Add((signal, cell));
            else if (signal is Signal.Gap or Signal.UnwindSpeed)
                reasons.Add($"There is no column \"{column}\"{hint} for {signal.Code()} of {machine.Name}.");
            else
                missing.Add($"\"{column}\"{hint}");
        }
        if (missing.Count > 0)
            findings.Add(
                $"Signals of {machine.Name} without a column, left out",
                1,
                string.Join(", ", missing)
            );
        return [.. cells];
    }
}
