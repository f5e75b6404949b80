using Dancerwatch.Signals.Readings;

namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>Whether the machine draws film, by the first of line speed, cycle rate, running that is there; else whether the unwind turns.</summary>
internal static class Drawing
{
    /// <summary>Slower is standing, m/min.</summary>
    private const double SlowestMetersPerMinute = 0.5;

    public static bool Is(in Reading reading) =>
        double.IsFinite(reading[Signal.LineSpeed]) ? reading[Signal.LineSpeed] > SlowestMetersPerMinute
        : double.IsFinite(reading[Signal.CycleRate]) ? reading[Signal.CycleRate] > 0
        : double.IsFinite(reading[Signal.Running]) ? reading[Signal.Running] > 0.5
        : reading[Signal.UnwindSpeed] > SlowestMetersPerMinute;

    public static bool IsTripped(in Reading reading) =>
        reading[Signal.FullSideTrip] > 0.5 || reading[Signal.EmptySideTrip] > 0.5;
}
