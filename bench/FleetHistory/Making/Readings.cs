using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.FleetHistory.Making;

/// <summary>From what a controller knows to what an agent reads of it.</summary>
internal static class Readings
{
    /// <summary>The signals that are read, in the order of their columns.</summary>
    public static Signal[] Signals { get; } =
    [
        Signal.Gap,
        Signal.UnwindSpeed,
        Signal.LineSpeed,
        Signal.CycleRate,
        Signal.Running,
        Signal.TargetFill,
        Signal.GapAtFull,
        Signal.GapAtEmpty,
        Signal.FullSideTrip,
        Signal.EmptySideTrip,
        Signal.UnwindCommand,
        Signal.RollDiameter,
        Signal.Product,
    ];

    public static Reading Of(long ticks, in ControllerImage image)
    {
        SignalValues values = SignalValues.Unknown;
        values[Signal.Gap] = image.GapCounts;
        values[Signal.UnwindSpeed] = image.UnwindSpeed;
        values[Signal.UnwindCommand] = image.UnwindCommand;
        values[Signal.LineSpeed] = image.LineSpeed;
        values[Signal.CycleRate] = image.CycleRate;
        values[Signal.Running] = image.Running ? 1 : 0;
        values[Signal.TargetFill] = image.TargetFill;
        values[Signal.GapAtFull] = image.GapAtFull;
        values[Signal.GapAtEmpty] = image.GapAtEmpty;
        values[Signal.FullSideTrip] = image.FullSideTrip ? 1 : 0;
        values[Signal.EmptySideTrip] = image.EmptySideTrip ? 1 : 0;
        values[Signal.RollDiameter] = image.RollDiameter;
        values[Signal.Product] = image.Product;
        return new Reading(ticks, values, Quality.Good);
    }
}
