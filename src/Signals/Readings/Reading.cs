namespace Dancerwatch.Signals.Readings;

/// <summary>Whether a reading can be believed.</summary>
public enum Quality
{
    /// <summary>Every configured signal was read.</summary>
    Good,

    /// <summary>The required signals were read; at least one optional one was not (it is NaN).</summary>
    Partial,

    /// <summary>A required signal was not read. The reading keeps its time; its values must not be used.</summary>
    Bad,
}

/// <summary>
/// One read of one machine: monotonic time, values by signal, quality. A failed read keeps its time and carries NaN and
/// <see cref="Quality.Bad"/>, never a guess.
/// </summary>
/// <param name="Ticks">Monotonic time in ticks of 100 ns (<see cref="TimeSpan.TicksPerSecond"/>) from any fixed zero.</param>
/// <param name="Values">Values by signal; NaN where unknown.</param>
/// <param name="Quality">Whether the required signals were read.</param>
public readonly record struct Reading(long Ticks, SignalValues Values, Quality Quality)
{
    private readonly SignalValues _values = Values;

    /// <summary>Values by signal; NaN where unknown.</summary>
    public SignalValues Values
    {
        get => _values;
        init => _values = value;
    }

    /// <summary>A read that failed at <paramref name="ticks"/>.</summary>
    public static Reading Failed(long ticks) => new(ticks, SignalValues.Unknown, Quality.Bad);

    /// <summary>
    /// Value of one signal; NaN where unknown. Read in place: asking <see cref="Values"/> would copy 128 bytes for each of some
    /// forty looks at a reading, 13 % of the analysis.
    /// </summary>
    public double this[Signal signal] => _values[signal];
}
