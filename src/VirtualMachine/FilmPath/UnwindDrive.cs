using Dancerwatch.VirtualMachine.Faults;

namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// A motor on the spindle under speed control: the reference follows the command with a slew limit; torque is proportional
/// to the speed error plus its integral, and limited; drag slows but never turns back. J dw/dt = T_drive + T_unbalance - T_drag
/// (Newton's second law for rotation).
/// </summary>
internal sealed class UnwindDrive(MachineParameters machine, double fullRollInertia)
{
    private const double Gravity = 9.81;

    private readonly double _stiffness = fullRollInertia / machine.DriveLagSeconds;
    private readonly double _slew = machine.UnwindSlewMetersPerMinutePerSecond / 60;
    private double _reference;
    private double _sluggishReference;
    private double _integralTorque;

    /// <summary>Spindle speed, rad/s.</summary>
    public double RadiansPerSecond { get; private set; }

    /// <summary>What the drive calls its speed: spindle speed times the roll's mean radius, m/s.</summary>
    public double SurfaceMetersPerSecond { get; private set; }

    /// <param name="seconds">Length of the step.</param>
    /// <param name="commandMetersPerSecond">Film speed asked for.</param>
    /// <param name="roll">What it turns.</param>
    /// <param name="brakeTorque">N m, against the motion.</param>
    /// <param name="worn">What is wrong with the machine.</param>
    /// <returns>Angle turned, rad.</returns>
    public double Step(
        double seconds,
        double commandMetersPerSecond,
        Roll roll,
        double brakeTorque,
        in Wear worn
    )
    {
        double most = _slew * seconds;
        _reference += Math.Clamp(commandMetersPerSecond - _reference, -most, most);
        _sluggishReference +=
            (_reference - _sluggishReference) * seconds / Math.Max(seconds, worn.ExtraDriveLagSeconds);

        double radius = roll.DiameterMeters / 2;
        double error = (_sluggishReference / radius) - RadiansPerSecond;
        double limit = machine.DriveTorqueNewtonMeters;
        // Without grip on the way down the roll coasts: the drive holds back only in part.
        double brakingLimit = limit * (1 - worn.CoastShare);
        _integralTorque = Math.Clamp(
            _integralTorque + (_stiffness * error * seconds / (4 * machine.DriveLagSeconds)),
            -brakingLimit,
            limit
        );
        double torque = Math.Clamp((_stiffness * error) + _integralTorque, -brakingLimit, limit);
        double unbalance = roll.MassKilograms * Gravity * worn.EccentricityMeters * Math.Sin(roll.Angle);

        double inertia = roll.InertiaKilogramSquareMeters;
        double free = RadiansPerSecond + (seconds * (torque + unbalance) / inertia);
        double drag =
            seconds * (machine.BearingDragNewtonMeters + brakeTorque + worn.DragNewtonMeters) / inertia;
        // The drive does not wind film back: the freewheel holds.
        RadiansPerSecond = Math.Max(0, free - drag);
        if (_reference == 0 && RadiansPerSecond == 0)
            _integralTorque = 0;
        SurfaceMetersPerSecond = RadiansPerSecond * radius;
        return RadiansPerSecond * seconds;
    }
}
