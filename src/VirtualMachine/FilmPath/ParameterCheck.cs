using System.Runtime.CompilerServices;

namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// What no machine can be built with. Wider than the trade's ranges, so that odd machines can be tried; past these bounds the
/// sums would make no sense.
/// </summary>
internal static class ParameterCheck
{
    /// <exception cref="ArgumentException">Names each parameter that cannot be, its value and what is allowed.</exception>
    public static void ThrowIfImpossible(MachineParameters machine)
    {
        List<string> errors = [];
        void Within(
            double value,
            double low,
            double high,
            [CallerArgumentExpression(nameof(value))] string name = ""
        )
        {
            if (!(value >= low && value <= high))
                errors.Add($"{name["machine.".Length..]} is {value}. Allowed: {low} to {high}.");
        }

        Within(machine.CoreDiameterMillimeters, 10, 500);
        Within(machine.RollDiameterMillimeters, machine.CoreDiameterMillimeters, 2000);
        Within(machine.FilmThicknessMicrometers, 5, 1000);
        Within(machine.FilmWidthMillimeters, 10, 5000);
        Within(machine.FilmDensityKilogramsPerCubicMeter, 100, 10_000);
        Within(machine.EccentricityMillimeters, 0, machine.RollDiameterMillimeters / 4);
        Within(machine.CyclesPerMinute, 1, 1000);
        Within(machine.BagLengthMillimeters, 10, 5000);
        Within(machine.DrawShare, 0.05, 0.95);
        Within(machine.StorageMillimeters, 50, 50_000);
        Within(machine.DancerNaturalHertz, 0.1, 50);
        Within(machine.DancerDampingRatio, 0, 5);
        Within(machine.TargetFillPercent, 0, 100);
        Within(machine.ProportionalGainPerSecond, 0, 10);
        Within(machine.ResetSeconds, 0.1, double.PositiveInfinity);
        Within(machine.MaximumUnwindMetersPerMinute, machine.LineMetersPerMinute, 1000);
        Within(machine.UnwindSlewMetersPerMinutePerSecond, 0.1, 10_000);
        Within(machine.DriveLagSeconds, 0.001, 10);
        Within(machine.DriveTorqueNewtonMeters, 0.1, 1000);
        Within(machine.DriveSlipPercent, 0.1, 50);
        Within(machine.DriveCalibration, 0.5, 2);
        Within(machine.BearingDragNewtonMeters, 0, machine.DriveTorqueNewtonMeters);
        Within(machine.SpeedCalibration, 0.5, 2);
        Within(machine.BrakeTorqueNewtonMeters, 0.1, 1000);
        Within(machine.BrakeFromPercent, 0, 200);
        Within(machine.GapAtEmptyCounts, 0, GapSensor.LargestCounts);
        Within(machine.GapAtFullCounts, 0, GapSensor.LargestCounts);
        if (Math.Abs(machine.GapAtFullCounts - machine.GapAtEmptyCounts) < 10)
            errors.Add(
                $"GapAtFullCounts is {machine.GapAtFullCounts}, GapAtEmptyCounts {machine.GapAtEmptyCounts}. Allowed: at least 10 apart."
            );
        if (!double.IsNaN(machine.TaughtGapAtEmptyCounts))
            Within(machine.TaughtGapAtEmptyCounts, 0, GapSensor.LargestCounts);
        if (!double.IsNaN(machine.TaughtGapAtFullCounts))
            Within(machine.TaughtGapAtFullCounts, 0, GapSensor.LargestCounts);
        Within(machine.GapNoiseCounts, 0, 1000);
        Within(machine.CamBowPercent, -20, 20);
        Within(machine.CamPlayPercent, 0, 20);
        Within(machine.OvertravelPercent, 0, Dancer.StopPercent);
        Within(machine.TripHoldSeconds, 0, 60);
        Within(machine.EdgeWanderMillimeters, 0, 100);
        Within(machine.EdgeMillimetersPerTurn, 0, 100);
        Within(machine.EdgeMillimetersPerPercentOfFill, -10, 10);
        if (errors.Count > 0)
            throw new ArgumentException(string.Join(" ", errors), nameof(machine));
    }
}
