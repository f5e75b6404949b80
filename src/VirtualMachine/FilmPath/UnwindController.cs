using Dancerwatch.VirtualMachine.Faults;

namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// What the machine's controller does about the unwind each scan: fill from the gap by a straight line between the set points,
/// and the line's own speed plus a P or PI trim towards the target as the unwind's command. Near full the unwind is slowed to a
/// stop, near empty it is brought to its fastest (common practice, no source).
/// </summary>
internal sealed class UnwindController(MachineParameters machine)
{
    // Part of travel at either end over which the unwind is slowed or sped up, % of fill.
    private const double EndPercent = 12;

    private readonly double _taughtAtEmpty = Taught(machine.TaughtGapAtEmptyCounts, machine.GapAtEmptyCounts);
    private readonly double _taughtAtFull = Taught(machine.TaughtGapAtFullCounts, machine.GapAtFullCounts);
    private double _filtered = double.NaN;
    private double _integral;

    /// <summary>Fill as the controller sees it, %.</summary>
    public double FillPercent { get; private set; }

    /// <summary>Film speed asked of the drive, m/s.</summary>
    public double CommandMetersPerSecond { get; private set; }

    /// <summary>Set points in force, counts.</summary>
    public double GapAtEmptyCounts { get; private set; }

    /// <inheritdoc cref="GapAtEmptyCounts"/>
    public double GapAtFullCounts { get; private set; }

    /// <param name="gapCounts">The sensor.</param>
    /// <param name="lineMetersPerSecond">Mean film speed of the machine at its present cycle rate.</param>
    /// <param name="off">The unwind is off: tripped, or hands are at the roll.</param>
    /// <param name="scanSeconds">Since the scan before.</param>
    /// <param name="defects">What is wrong with the machine.</param>
    public void Scan(
        int gapCounts,
        double lineMetersPerSecond,
        bool off,
        double scanSeconds,
        in Defects defects
    )
    {
        double span = _taughtAtFull - _taughtAtEmpty;
        double shift = Math.Round(Math.Abs(span) * defects.SetPointShiftPercent / 100);
        GapAtEmptyCounts = _taughtAtEmpty + shift;
        GapAtFullCounts = _taughtAtFull + shift;
        FillPercent = 100 * (gapCounts - GapAtEmptyCounts) / span;

        _filtered = double.IsNaN(_filtered)
            ? FillPercent
            : Lag.Step(_filtered, FillPercent, scanSeconds, defects.ExtraFilterSeconds);
        if (off)
        {
            CommandMetersPerSecond = 0;
            _integral = 0;
            return;
        }
        double maximum = machine.MaximumUnwindMetersPerMinute / 60 * (1 - defects.SpeedLossShare);
        double gain =
            machine.ProportionalGainPerSecond * defects.GainFactor * machine.StorageMillimeters / 1e5;
        double error = machine.TargetFillPercent - _filtered;
        bool moves = lineMetersPerSecond > 0;
        double wanted = lineMetersPerSecond + (gain * error) + (moves ? _integral : 0);
        double free = Math.Clamp(wanted, 0, maximum);
        // Integrates only while running and while the command is free to move.
        if (moves && wanted == free)
            _integral += gain * error * scanSeconds / machine.ResetSeconds;
        double nearFull = Math.Clamp((FillPercent - (100 - EndPercent)) / EndPercent, 0, 1);
        double nearEmpty = moves ? Math.Clamp((EndPercent - FillPercent) / EndPercent, 0, 1) : 0;
        CommandMetersPerSecond = ((1 - nearFull) * free) + (nearEmpty * (maximum - free));
    }

    private static double Taught(double taught, double real) => double.IsNaN(taught) ? real : taught;
}
