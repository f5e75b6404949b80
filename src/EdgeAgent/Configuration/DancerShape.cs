using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Fill;

namespace Dancerwatch.EdgeAgent.Configuration;

/// <summary>The dancer of one machine: its sensor, the two taught set points, and where the controller trips.</summary>
internal static class DancerShape
{
    private static readonly FillSettings s_usual = new() { GapAtEmpty = 0, GapAtFull = 0 };
    private static readonly string[] s_sides = ["full", "empty"];

    public static FillSettings Read(Section s)
    {
        FillSettings fill = new()
        {
            GapAtEmpty = s.Number(
                "gapAtEmptyCounts",
                "Taught set point: gap when the accumulator is empty (0 %), in counts, that is in the unit of the gap signal. Where the gapAtEmpty signal is configured, its tag wins.",
                -MachineShape.Huge,
                MachineShape.Huge
            ),
            GapAtFull = s.Number(
                "gapAtFullCounts",
                "Taught set point: gap when the accumulator is full (100 %), in counts. Where the gapAtFull signal is configured, its tag wins. May be above or below gapAtEmptyCounts.",
                -MachineShape.Huge,
                MachineShape.Huge
            ),
            TargetPercent = s.Number(
                "targetFillPercent",
                "Where the controller tries to keep the dancer, %. Where the targetFill signal is configured, its tag wins.",
                0,
                100,
                s_usual.TargetPercent
            ),
            GapResolution = s.Number(
                "gapResolutionCounts",
                "Smallest step of the gap, in counts.",
                1e-6,
                1e6,
                s_usual.GapResolution
            ),
            GapMinimum = s.Number(
                "gapMinimumCounts",
                "Lowest gap the sensor can give, in counts.",
                -MachineShape.Huge,
                MachineShape.Huge,
                s_usual.GapMinimum
            ),
            GapMaximum = s.Number(
                "gapMaximumCounts",
                "Highest gap the sensor can give, in counts; 4095 for 12 bits.",
                -MachineShape.Huge,
                MachineShape.Huge,
                s_usual.GapMaximum
            ),
            OvertravelPercent = s.Number(
                "overtravelPercent",
                "How far past full or empty the controller trips, % of fill.",
                0,
                100,
                s_usual.OvertravelPercent
            ),
            TripHoldSeconds = s.Number(
                "tripHoldSeconds",
                "How long fill must be past before the controller trips, s.",
                0,
                60,
                s_usual.TripHoldSeconds
            ),
            StorageMillimeters = s.Number(
                "storageMillimeters",
                "Film stored between empty and full, mm; margins in mm need it.",
                10,
                100_000,
                s_usual.StorageMillimeters
            ),
            Cam = s.RisingPairs(
                "camPercent",
                "Curved cam: pairs [fill straight from the gap, true fill], both in %, rising. Left out: no curve.",
                -100,
                200
            ),
        };
        string? largerGapSide = s.OptionalChoice(
            "largerGapSide",
            "Side at which the sensor reads the larger gap, full or empty, as the machine is built. Where given, set points the other way round are refused as swapped.",
            s_sides
        );
        CheckSetPoints(s, fill, largerGapSide);
        CheckSensorRange(s, fill);
        return fill;
    }

    private static void CheckSetPoints(Section s, FillSettings fill, string? largerGapSide)
    {
        if (Math.Abs(fill.GapAtFull - fill.GapAtEmpty) < FillScale.FewestSteps * fill.GapResolution)
        {
            s.Refuse(
                "gapAtFullCounts",
                $"at least {FillScale.FewestSteps} steps of gapResolutionCounts away from gapAtEmptyCounts ({fill.GapAtEmpty})",
                "Teach both ends again: a dancer that moves gives two different gaps."
            );
        }
        bool swapped = largerGapSide switch
        {
            "full" => fill.GapAtFull < fill.GapAtEmpty,
            "empty" => fill.GapAtFull > fill.GapAtEmpty,
            _ => false,
        };
        if (swapped)
        {
            s.Refuse(
                "gapAtFullCounts",
                $"{(largerGapSide == "full" ? "above" : "below")} gapAtEmptyCounts ({fill.GapAtEmpty}), for largerGapSide is \"{largerGapSide}\"",
                "The set points look swapped: look which gap the sensor reads with the dancer at its full side."
            );
        }
    }

    private static void CheckSensorRange(Section s, FillSettings fill)
    {
        if (fill.GapMaximum <= fill.GapMinimum)
        {
            s.Refuse("gapMaximumCounts", $"above gapMinimumCounts ({fill.GapMinimum})", "Swap the two.");
            return;
        }
        if (fill.GapMaximum - fill.GapMinimum > (SlidingBands.MostCodes - 1) * fill.GapResolution)
        {
            s.Refuse(
                "gapResolutionCounts",
                $"at most {SlidingBands.MostCodes - 1} steps from gapMinimumCounts ({fill.GapMinimum}) to gapMaximumCounts ({fill.GapMaximum})",
                "Narrow the sensor's range, or give a coarser step."
            );
        }
        CheckInSensorRange(s, fill, "gapAtEmptyCounts", fill.GapAtEmpty);
        CheckInSensorRange(s, fill, "gapAtFullCounts", fill.GapAtFull);
    }

    private static void CheckInSensorRange(Section s, FillSettings fill, string key, double gap)
    {
        if (gap < fill.GapMinimum || gap > fill.GapMaximum)
        {
            s.Refuse(
                key,
                $"within the sensor's range of {fill.GapMinimum} to {fill.GapMaximum} counts",
                "Correct it, or gapMinimumCounts and gapMaximumCounts."
            );
        }
    }
}
