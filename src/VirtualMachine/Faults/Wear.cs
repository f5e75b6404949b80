using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Faults;

/// <summary>What is wrong with a machine now, as physics. All zero (and factors 1) where nothing is.</summary>
internal struct Wear
{
    public double GainFactor;
    public double ExtraFilterSeconds;
    public double ExtraDriveLagSeconds;
    public double EccentricityMeters;
    public double BagFactor;
    public double DragNewtonMeters;
    public double CoastShare;
    public double BrakeWear;
    public double GapDriftPercent;
    public double NoiseFactor;
    public double TouchesPerSecond;
    public double TouchSeconds;
    public bool GapStuck;
    public double SpeedLossShare;
    public double SnagShare;
    public double SetPointShiftPercent;

    /// <summary>A machine as built.</summary>
    public static Wear None(MachineParameters machine) =>
        new()
        {
            GainFactor = 1,
            BagFactor = 1,
            EccentricityMeters = machine.EccentricityMillimeters / 1000,
        };

    /// <summary>Adds one fault that has come as far as <paramref name="severity"/>.</summary>
    public void Add(Fault fault, double severity, MachineParameters machine)
    {
        if (severity <= 0)
            return;
        switch (fault)
        {
            case Fault.LoopHunting:
                GainFactor *= 1 + (9 * severity);
                ExtraFilterSeconds += 2.5 * severity;
                ExtraDriveLagSeconds += 1.2 * severity;
                break;
            case Fault.RollEccentricity:
                EccentricityMeters += 0.3 * severity * machine.RollDiameterMillimeters / 2000;
                break;
            case Fault.CycleSwing:
                BagFactor *= 1 + (severity * ((170 / machine.CycleSwingPercent) - 1));
                break;
            case Fault.BrakeDrag:
                DragNewtonMeters += 1.5 * severity * machine.DriveTorqueNewtonMeters;
                break;
            case Fault.RollOverrun:
                CoastShare = Math.Max(CoastShare, Math.Min(1, severity));
                BrakeWear = Math.Max(BrakeWear, Math.Min(1, severity));
                break;
            case Fault.SensorDrift:
                GapDriftPercent += 110 * severity;
                break;
            case Fault.SensorNoise:
                NoiseFactor += 50 * severity;
                TouchesPerSecond += 0.5 * severity * severity;
                TouchSeconds = Math.Max(TouchSeconds, 2 * severity * machine.TripHoldSeconds);
                break;
            case Fault.SensorStuck:
                GapStuck |= severity > 0.5;
                break;
            case Fault.DriveSaturation:
                double share = machine.LineMetersPerMinute / machine.MaximumUnwindMetersPerMinute;
                SpeedLossShare = Math.Max(SpeedLossShare, severity * (1 - (0.9 * share)));
                break;
            case Fault.FilmSnag:
                SnagShare = Math.Max(SnagShare, Math.Min(0.9, 0.6 * severity));
                break;
            case Fault.SetpointError:
                SetPointShiftPercent += 90 * severity;
                break;
            case Fault.RollEnding:
                // No wear: the machine starts with just so much film on its roll.
                break;
        }
    }
}
