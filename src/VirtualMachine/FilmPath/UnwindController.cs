using Dancerwatch.VirtualMachine.Faults;

namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// What the machine's controller does about the unwind each scan: fill from the gap, speed from the line's own plus a P or PI
/// trim towards the target, brake, and the trip.
/// </summary>
internal sealed class UnwindController(MachineParameters machine)
{
    private double _filtered = double.NaN;
    private double _integral;

    /// <summary>Fill as the controller sees it, %.</summary>
    public double FillPercent { get; private set; }

    /// <summary>Film speed asked of the drive, m/s.</summary>
    public double CommandMetersPerSecond { get; private set; }

    public double GapAtEmptyCounts { get; private set; }
    public double GapAtFullCounts { get; private set; }

    /// <param name="gapCounts">The sensor.</param>
    /// <param name="lineMetersPerSecond">Mean film speed of the machine at its present cycle rate.</param>
    /// <param name="tripped">The trip holds: no unwinding.</param>
    /// <param name="scanSeconds">Since the scan before.</param>
    /// <param name="worn">What is wrong with the machine.</param>
    public void Scan(
        int gapCounts,
        double lineMetersPerSecond,
        bool tripped,
        double scanSeconds,
        in Wear worn
    )
    {
        double span = machine.GapAtFullCounts - machine.GapAtEmptyCounts;
        double shift = Math.Round(span * worn.SetPointShiftPercent / 100);
        GapAtEmptyCounts = machine.GapAtEmptyCounts + shift;
        GapAtFullCounts = machine.GapAtFullCounts + shift;
        FillPercent = 100 * (gapCounts - GapAtEmptyCounts) / (GapAtFullCounts - GapAtEmptyCounts);

        _filtered = double.IsNaN(_filtered)
            ? FillPercent
            : _filtered + ((FillPercent - _filtered) * scanSeconds / (scanSeconds + worn.ExtraFilterSeconds));
        double maximum = machine.MaximumUnwindMetersPerMinute / 60 * (1 - worn.SpeedLossShare);
        if (tripped)
        {
            CommandMetersPerSecond = 0;
            _integral = 0;
            return;
        }
        double gain = machine.ProportionalGainPerSecond * worn.GainFactor * machine.StorageMillimeters / 1e5;
        double error = machine.TargetFillPercent - _filtered;
        double wanted = lineMetersPerSecond + (gain * error) + _integral;
        CommandMetersPerSecond = Math.Clamp(wanted, 0, maximum);
        // Integrates only while running and while the command is free to move.
        if (lineMetersPerSecond > 0 && wanted == CommandMetersPerSecond)
            _integral += gain * error * scanSeconds / machine.ResetSeconds;
    }
}
