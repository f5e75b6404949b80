using Dancerwatch.Signals.Readings;

namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>Each signal in one sentence with its unit, for people who connect tags to it.</summary>
internal static class SignalMeaning
{
    public static string Meaning(this Signal signal) =>
        signal switch
        {
            Signal.Gap => "Required. Analog position sensor to the dancer's cam, counts.",
            Signal.UnwindSpeed => "Required. Film speed off the roll into the accumulator, m/min.",
            Signal.UnwindCommand => "Speed the controller asks of the unwind, m/min.",
            Signal.LineSpeed => "Film speed drawn by the machine, averaged over cycles, m/min.",
            Signal.CycleRate => "Machine cycles (bags) per minute.",
            Signal.Running => "1 while the machine is in its running state, else 0.",
            Signal.TargetFill => "Fill the controller aims at, %.",
            Signal.GapAtFull => "Taught set point: gap when the accumulator is full (100 %), counts.",
            Signal.GapAtEmpty => "Taught set point: gap when the accumulator is empty (0 %), counts.",
            Signal.FullSideTrip => "1 while the controller holds its full-side trip, else 0.",
            Signal.EmptySideTrip => "1 while the controller holds its empty-side trip, else 0.",
            Signal.BrakeOn => "1 while the spindle brake is applied, else 0.",
            Signal.BrakePressure => "Brake air pressure, bar.",
            Signal.RollDiameter => "Outer diameter of the roll, mm.",
            Signal.EdgePosition => "Sideways position of the film edge, mm.",
            Signal.Product => "Number that stands for the product (recipe) in the machine.",
            _ => throw new ArgumentOutOfRangeException(nameof(signal), signal, "not a signal"),
        };

    /// <summary>Unit, as it is written behind a value; empty for a switch or a plain number.</summary>
    public static string Unit(this Signal signal) =>
        signal switch
        {
            Signal.UnwindSpeed or Signal.UnwindCommand or Signal.LineSpeed => "m/min",
            Signal.CycleRate => "1/min",
            Signal.TargetFill => "%",
            Signal.BrakePressure => "bar",
            Signal.RollDiameter or Signal.EdgePosition => "mm",
            _ => "",
        };
}
