using Dancerwatch.VirtualMachine.Faults;

namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// The analog sensor and the cam it looks at: dancer position to counts of a 12-bit input, by a straight line, a bowed cam,
/// play in its linkage, noise, rounding and the input's range.
/// </summary>
internal sealed class GapSensor(MachineParameters machine, Random random)
{
    public const int LargestCounts = 4095;

    // A sensor that is stuck for good is stuck from this far past target on, %.
    private const double StuckPastTargetPercent = 15;

    private double _touchSecondsLeft;
    private double _camPercent = machine.TargetFillPercent;

    /// <summary>Sampled once a scan.</summary>
    /// <param name="dancerPercent">Where the dancer is, %.</param>
    /// <param name="scanSeconds">Since the sample before.</param>
    /// <param name="defects">What is wrong with the machine.</param>
    /// <returns>0 to 4095.</returns>
    public int Sample(double dancerPercent, double scanSeconds, in Defects defects)
    {
        // Play: the cam stays where it is until the dancer has taken up the slack on either side.
        double slack = machine.CamPlayPercent / 2;
        _camPercent = Math.Clamp(_camPercent, dancerPercent - slack, dancerPercent + slack);
        double counts = CountsAt(machine.StraightPercent(_camPercent) + defects.GapDriftPercent);
        counts += random.NextNormal() * machine.GapNoiseCounts * defects.NoiseFactor;
        if (defects.StuckShare > 0)
            counts = Math.Min(counts, StuckCounts(defects.StuckShare));
        if (defects.TouchesPerSecond > 0)
            counts = Touch(counts, scanSeconds, defects);
        return (int)Math.Round(Math.Clamp(counts, 0, LargestCounts));
    }

    private double CountsAt(double straightPercent) =>
        machine.GapAtEmptyCounts
        + ((machine.GapAtFullCounts - machine.GapAtEmptyCounts) * straightPercent / 100);

    // The gap reads no larger than this: the part of travel beyond is blind, from the far stop inward.
    private double StuckCounts(double share)
    {
        bool growsWithFill = machine.GapAtFullCounts > machine.GapAtEmptyCounts;
        double far = growsWithFill ? 100 + Dancer.StopPercent : -Dancer.StopPercent;
        double past =
            machine.TargetFillPercent + (growsWithFill ? -StuckPastTargetPercent : StuckPastTargetPercent);
        return CountsAt(far + ((past - far) * Math.Min(1, share)));
    }

    // The face meets the cam: the gap reads nothing, for longer and longer as it wears.
    private double Touch(double counts, double scanSeconds, in Defects defects)
    {
        if (_touchSecondsLeft > 0)
        {
            _touchSecondsLeft -= scanSeconds;
            return 0;
        }
        if (random.NextDouble() < defects.TouchesPerSecond * scanSeconds)
            _touchSecondsLeft = defects.TouchSeconds * (0.5 + random.NextDouble());
        return counts;
    }
}
