using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Recording;

/// <summary>
/// Some readings of one machine, of one run of the daemon, in the order in which they were taken, in columns. Reused; a
/// reader overwrites it.
/// </summary>
public sealed class ReadingBatch
{
    /// <summary>Most readings in a batch: 164 s at 50 Hz. A row group of a recording is one batch.</summary>
    public const int Capacity = 8192;

    private readonly double[]?[] _values = new double[SignalValues.Count][];

    /// <summary>What <see cref="Signals"/> says, at hand for each reading.</summary>
    private (Signal Signal, double[] Values)[] _columns = [];

    /// <summary>Which run of the daemon they are of: counts up with each start. Ticks of two runs have nothing in common.</summary>
    public long Run { get; internal set; }

    /// <summary>Readings in it.</summary>
    public int Count { get; internal set; }

    /// <summary>The signals there are columns of.</summary>
    public IReadOnlyList<Signal> Signals { get; private set; } = [];

    /// <summary>Monotonic time of each, ticks of 100 ns from the start of the run.</summary>
    public ReadOnlySpan<long> Ticks => TickColumn.AsSpan(0, Count);

    /// <summary>Wall-clock time of each as it was at the time, µs since 1970-01-01 UTC.</summary>
    public ReadOnlySpan<long> Microseconds => TimeColumn.AsSpan(0, Count);

    /// <summary>Quality of each.</summary>
    public ReadOnlySpan<Quality> Qualities => QualityColumn.AsSpan(0, Count);

    internal long[] TickColumn { get; } = new long[Capacity];
    internal long[] TimeColumn { get; } = new long[Capacity];
    internal Quality[] QualityColumn { get; } = new Quality[Capacity];

    /// <summary>Values of a signal, in its unit; NaN where not known. Empty where there is no such column.</summary>
    public ReadOnlySpan<double> Values(Signal signal) =>
        _values[(int)signal] is { } column && Signals.Contains(signal) ? column.AsSpan(0, Count) : [];

    /// <summary>One of them.</summary>
    public Reading Reading(int place)
    {
        SignalValues values = SignalValues.Unknown;
        foreach ((Signal signal, double[] column) in _columns)
            values[signal] = column[place];
        return new Reading(TickColumn[place], values, QualityColumn[place]);
    }

    /// <summary>Empties it, for these signals.</summary>
    internal void Begin(long run, IReadOnlyList<Signal> signals)
    {
        (Run, Count) = (run, 0);
        if (ReferenceEquals(signals, Signals))
            return;
        Signals = signals;
        foreach (Signal signal in signals)
            _values[(int)signal] ??= new double[Capacity];
        _columns = [.. signals.Select(signal => (signal, Column(signal)))];
    }

    /// <summary>Keeps the readings whose ticks and wall-clock time fit, in their order.</summary>
    internal void Keep(Func<long, long, bool> fits)
    {
        int kept = 0;
        for (int row = 0; row < Count; row++)
        {
            if (!fits(TickColumn[row], TimeColumn[row]))
                continue;
            if (kept < row)
                Move(row, kept);
            kept++;
        }
        Count = kept;
    }

    private void Move(int from, int to)
    {
        TickColumn[to] = TickColumn[from];
        TimeColumn[to] = TimeColumn[from];
        QualityColumn[to] = QualityColumn[from];
        foreach (Signal signal in Signals)
            _values[(int)signal]![to] = _values[(int)signal]![from];
    }

    /// <summary>The whole column of a signal that there is one of.</summary>
    internal double[] Column(Signal signal) => _values[(int)signal]!;
}
