using System.Globalization;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Roll;

namespace Dancerwatch.EdgeAgent.Commands.Checks;

/// <summary>
/// What an engineer would look at on a machine's values: set points that are swapped, units that are off, switches that
/// are no switches, a sensor that stands still. Common practice, no source. Each finding is one or two sentences with the
/// numbers that decided and what to look at.
/// </summary>
internal static class Plausibility
{
    /// <summary>A gap that stands still for fewer readings than this, with film moving, says nothing: one second at 50 Hz.</summary>
    private const int EnoughReadings = 50;

    private static readonly Signal[] s_switches =
    [
        Signal.Running,
        Signal.FullSideTrip,
        Signal.EmptySideTrip,
        Signal.BrakeOn,
    ];

    private static readonly Signal[] s_neverNegative =
    [
        Signal.UnwindSpeed,
        Signal.UnwindCommand,
        Signal.LineSpeed,
        Signal.CycleRate,
        Signal.BrakePressure,
    ];

    public static IEnumerable<string> Findings(MachineSeries series) =>
        [.. SetPoints(series), .. Dancer(series), .. Values(series), .. Roll(series)];

    private static IEnumerable<string> SetPoints(MachineSeries series)
    {
        FillSettings configured = series.Machine.Machine.Fill;
        double full = series.Last[Signal.GapAtFull];
        double empty = series.Last[Signal.GapAtEmpty];
        if ((full - empty) * (configured.GapAtFull - configured.GapAtEmpty) < 0)
            yield return Say(
                $"The set points look swapped: the tags say empty {empty} and full {full}, the configuration empty {configured.GapAtEmpty} and full {configured.GapAtFull}. Look which gap the sensor reads with the dancer at its full side."
            );
        if (series.Fill.Fault == FillFault.BadSetPoints)
            yield return Say(
                $"No fill can be computed from the set points empty {series.Fill.GapAtEmpty} and full {series.Fill.GapAtFull}: they are equal or too close. Teach both ends again."
            );
    }

    private static IEnumerable<string> Dancer(MachineSeries series)
    {
        FillSettings settings = series.Machine.Machine.Fill;
        FillEstimate fill = series.Fill;
        bool fullTrip = series.Last[Signal.FullSideTrip] == 1;
        bool emptyTrip = series.Last[Signal.EmptySideTrip] == 1;
        bool tripKnown = !double.IsNaN(series.Last[Signal.FullSideTrip] + series.Last[Signal.EmptySideTrip]);

        if (fill.Fault == FillFault.OutOfSensorRange)
            yield return Say(
                $"The gap is {series.Last[Signal.Gap]}, outside the sensor's range of {settings.GapMinimum} to {settings.GapMaximum}. Look at the sensor's cable, and at gapMinimumCounts and gapMaximumCounts."
            );
        if (fullTrip && emptyTrip)
            yield return "Both trips are on, at the full side and at the empty side: one of the two tags is not a trip, or is the other way round.";
        else if (fullTrip && fill.Percent < 50)
            yield return Say(
                $"The full-side trip is on at a fill of {fill.Percent:0.#} %: set points, or the two trip tags, look swapped."
            );
        else if (emptyTrip && fill.Percent > 50)
            yield return Say(
                $"The empty-side trip is on at a fill of {fill.Percent:0.#} %: set points, or the two trip tags, look swapped."
            );
        bool pastLimit = fill.Percent > settings.FullTripPercent || fill.Percent < settings.EmptyTripPercent;
        if (
            pastLimit
            && fill.Fault == FillFault.None
            && tripKnown
            && !fullTrip
            && !emptyTrip
            && series.Last[Signal.Running] == 1
        )
            yield return Say(
                $"Fill is {fill.Percent:0.#} %, past the trip at {(fill.Percent > 50 ? settings.FullTripPercent : settings.EmptyTripPercent):0.#} %, yet the machine runs without a trip. Look at the set points and at overtravelPercent."
            );
        if (series.Gaps >= EnoughReadings && !series.GapMoved && series.FilmAlwaysMoved)
            yield return Say(
                $"The gap stood at {series.Last[Signal.Gap]} for {series.Gaps} readings while film moved. Look whether the sensor, or the tag, is stuck."
            );
    }

    private static IEnumerable<string> Values(MachineSeries series)
    {
        foreach (Signal signal in s_switches)
        {
            double value = series.Last[signal];
            if (!double.IsNaN(value) && value != 0 && value != 1)
                yield return Say(
                    $"{signal.Code()} is {value}; a switch is 0 or 1. Look at its tag, scale and offset."
                );
        }
        foreach (Signal signal in s_neverNegative)
        {
            double value = series.Last[signal];
            if (value < 0)
                yield return Say($"{signal.Code()} is {value}, below 0. Turn its sign round by scale.");
        }
        if (series.Last[Signal.TargetFill] is < 0 or > 100)
            yield return Say(
                $"targetFill is {series.Last[Signal.TargetFill]} %, outside 0 to 100. Look at its tag and scale."
            );
        double fastest = series.Machine.Machine.Roll.MaximumUnwindMetersPerMinute;
        foreach (Signal signal in new[] { Signal.UnwindSpeed, Signal.UnwindCommand, Signal.LineSpeed })
        {
            if (series.Last[signal] > fastest)
                yield return Say(
                    $"{signal.Code()} is {series.Last[signal]:0.##} m/min, above the unwind's fastest, {fastest} m/min. Look at its unit and scale, and at unwind.maximumMetersPerMinute."
                );
        }
    }

    private static IEnumerable<string> Roll(MachineSeries series)
    {
        RollSettings roll = series.Machine.Machine.Roll;
        double diameter = series.Last[Signal.RollDiameter];
        if (diameter < roll.CoreDiameterMillimeters)
            yield return Say(
                $"rollDiameter is {diameter:0.#} mm, below the core's {roll.CoreDiameterMillimeters} mm. Look at its unit, and at coreDiameterMillimeters."
            );
        if (diameter > roll.FullDiameterMillimeters)
            yield return Say(
                $"rollDiameter is {diameter:0.#} mm, above a fresh roll's {roll.FullDiameterMillimeters} mm. Look at its unit, and at fullDiameterMillimeters."
            );
    }

    private static string Say(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
