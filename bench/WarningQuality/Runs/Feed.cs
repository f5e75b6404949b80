using Dancerwatch.Signals.Readings;
using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.Bench.WarningQuality.Runs;

/// <summary>Which signals are read.</summary>
internal enum Feed
{
    All,

    /// <summary>Gap and unwind speed; set points are configured.</summary>
    Two,
}

/// <summary>From what the controller knows to what an agent has read.</summary>
internal static class Feeds
{
    public static Reading Read(this Feed feed, long ticks, in ControllerImage image)
    {
        SignalValues values = SignalValues.Unknown;
        values[Signal.Gap] = image.GapCounts;
        values[Signal.UnwindSpeed] = image.UnwindSpeed;
        if (feed == Feed.All)
            AddOptional(ref values, image);
        return new Reading(ticks, values, Quality.Good);
    }

    private static void AddOptional(ref SignalValues values, in ControllerImage image)
    {
        values[Signal.UnwindCommand] = image.UnwindCommand;
        values[Signal.LineSpeed] = image.LineSpeed;
        values[Signal.CycleRate] = image.CycleRate;
        values[Signal.Running] = image.Running ? 1 : 0;
        values[Signal.TargetFill] = image.TargetFill;
        values[Signal.GapAtFull] = image.GapAtFull;
        values[Signal.GapAtEmpty] = image.GapAtEmpty;
        values[Signal.FullSideTrip] = image.FullSideTrip ? 1 : 0;
        values[Signal.EmptySideTrip] = image.EmptySideTrip ? 1 : 0;
        values[Signal.BrakeOn] = image.BrakeOn ? 1 : 0;
        values[Signal.BrakePressure] = image.BrakePressure;
        values[Signal.RollDiameter] = image.RollDiameter;
        values[Signal.EdgePosition] = image.EdgePosition;
        values[Signal.Product] = image.Product;
    }
}
