namespace Dancerwatch.Signals.Oscillation;

/// <summary>Which known rhythm an oscillation fits.</summary>
public enum Rhythm
{
    /// <summary>No regular movement.</summary>
    None,

    /// <summary>Fewer than ten periods seen: not enough data.</summary>
    NotEnoughData,

    /// <summary>The machine's cycle, or a whole multiple of it.</summary>
    MachineCycle,

    /// <summary>One turn of the roll, or a whole multiple of it.</summary>
    RollTurn,

    /// <summary>
    /// The control loop of unwind and dancer: the unwind itself feeds the movement, its speed leading fill by about a
    /// quarter period, at a rate no rotation explains.
    /// </summary>
    ControlLoop,

    /// <summary>Regular, but it fits nothing known.</summary>
    Unknown,
}
