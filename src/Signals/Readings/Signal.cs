namespace Dancerwatch.Signals.Readings;

/// <summary>
/// What a reading can carry. <see cref="Gap"/> and <see cref="UnwindSpeed"/> are required of every machine; each
/// further signal sharpens causes. Values are <see cref="double"/>; a signal that is not there, or was not read, is NaN.
/// </summary>
public enum Signal
{
    /// <summary>Analog position sensor to the dancer's cam, in counts or mm.</summary>
    Gap,

    /// <summary>Film speed off the roll into the accumulator, m/min.</summary>
    UnwindSpeed,

    /// <summary>Speed the controller asks of the unwind, m/min.</summary>
    UnwindCommand,

    /// <summary>Film speed drawn by the machine, averaged over cycles, m/min.</summary>
    LineSpeed,

    /// <summary>Machine cycles (bags) per minute.</summary>
    CycleRate,

    /// <summary>1 while the machine is in its running state, else 0.</summary>
    Running,

    /// <summary>Fill the controller aims at, %.</summary>
    TargetFill,

    /// <summary>Taught set point: gap when the accumulator is full (100 %), in the unit of <see cref="Gap"/>.</summary>
    GapAtFull,

    /// <summary>Taught set point: gap when the accumulator is empty (0 %), in the unit of <see cref="Gap"/>.</summary>
    GapAtEmpty,

    /// <summary>1 while the controller holds its full-side trip, else 0.</summary>
    FullSideTrip,

    /// <summary>1 while the controller holds its empty-side trip, else 0.</summary>
    EmptySideTrip,

    /// <summary>1 while the spindle brake is applied, else 0.</summary>
    BrakeOn,

    /// <summary>Brake air pressure, bar.</summary>
    BrakePressure,

    /// <summary>Outer diameter of the roll, mm.</summary>
    RollDiameter,

    /// <summary>Sideways position of the film edge, mm.</summary>
    EdgePosition,

    /// <summary>Number that stands for the product (recipe) in the machine.</summary>
    Product,
}
