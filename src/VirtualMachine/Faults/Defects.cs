using Dancerwatch.VirtualMachine.FilmPath;

namespace Dancerwatch.VirtualMachine.Faults;

/// <summary>What is wrong with a machine now, as physics: the sum of its faults, part by part.</summary>
internal struct Defects
{
    public double GainFactor;
    public double ExtraFilterSeconds;
    public double ExtraDriveLagSeconds;
    public double EccentricityMeters;
    public double BagFactor;
    public double BrakeDragNewtonMeters;
    public double HoldingLossShare;
    public double GapDriftPercent;
    public double NoiseFactor;
    public double TouchesPerSecond;
    public double TouchSeconds;
    public double StuckShare;
    public double SpeedLossShare;
    public double SnagShare;
    public double SetPointShiftPercent;

    /// <summary>A machine as built.</summary>
    public static Defects None(MachineParameters machine) =>
        new()
        {
            GainFactor = 1,
            BagFactor = 1,
            NoiseFactor = 1,
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
                ExtraFilterSeconds += 3.5 * severity;
                ExtraDriveLagSeconds += 1.5 * severity;
                break;
            case Fault.RollEccentricity:
                EccentricityMeters += 0.3 * severity * machine.RollDiameterMillimeters / 2000;
                break;
            case Fault.CycleSwing:
                BagFactor *= 1 + (severity * ((170 / machine.CycleSwingPercent) - 1));
                break;
            case Fault.BrakeDrag:
                BrakeDragNewtonMeters += 1.5 * severity * machine.DriveTorqueNewtonMeters;
                break;
            case Fault.RollOverrun:
                HoldingLossShare = Math.Clamp(severity, HoldingLossShare, 1);
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
                StuckShare = Math.Max(StuckShare, severity);
                break;
            case Fault.DriveSaturation:
                double share = machine.LineMetersPerMinute / machine.MaximumUnwindMetersPerMinute;
                SpeedLossShare = Math.Clamp(severity * (1 - (0.9 * share)), SpeedLossShare, 1);
                break;
            case Fault.FilmSnag:
                SnagShare = Math.Clamp(severity * severity, SnagShare, 1);
                break;
            case Fault.SetpointError:
                SetPointShiftPercent += 75 * severity;
                break;
            case Fault.RollEnding:
                break; // No defect: the machine was given just so much film.
            default:
                throw new ArgumentOutOfRangeException(nameof(fault), fault, "not a fault");
        }
    }
}
