using Dancerwatch.VirtualMachine.Faults;

namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// A motor on the spindle behind a frequency converter. The reference follows the command with a slew limit and a lag; the
/// motor's torque grows with its slip, T = K (w_ref - w), up to what the converter allows; the spindle obeys
/// J dw/dt = T + T_unbalance - T_drag. Drag slows but never turns back, and the spindle never turns backward (freewheel).
/// </summary>
internal sealed class UnwindDrive
{
    private const double Gravity = 9.81;

    // A converter holds a standing motor by direct current, with this share of its torque.
    private const double StandstillHoldShare = 0.2;

    private readonly MachineParameters _machine;
    private readonly double _slew;

    // K, N m per rad/s.
    private readonly double _stiffness;
    private double _ramp;
    private double _reference;

    public UnwindDrive(MachineParameters machine)
    {
        _machine = machine;
        _slew = machine.UnwindSlewMetersPerMinutePerSecond / 60;
        double fastestSpindle =
            machine.MaximumUnwindMetersPerMinute / 60 / (machine.CoreDiameterMillimeters / 2000);
        _stiffness = machine.DriveTorqueNewtonMeters / (fastestSpindle * machine.DriveSlipPercent / 100);
    }

    /// <summary>Spindle speed, rad/s.</summary>
    public double RadiansPerSecond { get; private set; }

    /// <summary>What the motor gives, N m; negative where it holds back.</summary>
    public double TorqueNewtonMeters { get; private set; }

    /// <param name="seconds">Length of the step.</param>
    /// <param name="commandMetersPerSecond">Film speed asked for.</param>
    /// <param name="roll">What it turns.</param>
    /// <param name="dragNewtonMeters">Of brake and film, against the motion.</param>
    /// <param name="defects">What is wrong with the machine.</param>
    /// <returns>Angle turned, rad.</returns>
    public double Step(
        double seconds,
        double commandMetersPerSecond,
        Roll roll,
        double dragNewtonMeters,
        in Defects defects
    )
    {
        double most = _slew * seconds;
        _ramp += Math.Clamp(commandMetersPerSecond - _ramp, -most, most);
        double lag = _machine.DriveLagSeconds + defects.ExtraDriveLagSeconds;
        _reference = Lag.Step(_reference, _ramp, seconds, lag);

        double wanted = _machine.DriveCalibration * _reference / (roll.DiameterMeters / 2);
        double inertia = roll.InertiaKilogramSquareMeters;
        double limit = _machine.DriveTorqueNewtonMeters;
        double holding = limit * (1 - defects.HoldingLossShare);
        double others =
            (roll.MassKilograms * Gravity * defects.EccentricityMeters * Math.Sin(roll.Angle))
            - _machine.BearingDragNewtonMeters
            - dragNewtonMeters
            - (_ramp == 0 ? holding * StandstillHoldShare : 0);

        // Implicit in the slip torque: a nearly empty roll answers faster than a step.
        double free =
            ((inertia * RadiansPerSecond) + (seconds * ((_stiffness * wanted) + others)))
            / (inertia + (seconds * _stiffness));
        TorqueNewtonMeters = Math.Clamp(_stiffness * (wanted - free), -holding, limit);
        RadiansPerSecond = Math.Max(
            0,
            RadiansPerSecond + (seconds * (TorqueNewtonMeters + others) / inertia)
        );
        return RadiansPerSecond * seconds;
    }
}
