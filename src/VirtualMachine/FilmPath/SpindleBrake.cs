namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// The brake on the spindle. Spring-linked: its torque rises with the dancer over the last part of travel. Air: a valve opened
/// and shut by the controller's fill, with hysteresis; pressure, and torque with it, follows as a first-order lag. Either way
/// it also holds while the machine is tripped or hands are at the roll.
/// </summary>
internal sealed class SpindleBrake(MachineParameters machine)
{
    private const double FullPressureBar = 6;
    private const double AirLagSeconds = 0.15;
    private const double SpringLagSeconds = 0.02;

    // Spring-linked: fill from first touch to full hold, %.
    private const double SpringTravelPercent = 10;

    // Air: the valve shuts this far below the fill it opens at, %.
    private const double ValveHysteresisPercent = 4;

    // 0 open to 1 holding fully.
    private double _applied;
    private double _dragShare;
    private bool _valveOpen;

    /// <summary>What the controller sees: its valve's output, or the switch at a spring-linked lever.</summary>
    public bool IsOn => machine.Brake == BrakeKind.Air ? _valveOpen : _applied > 0.05;

    /// <summary>bar; NaN without air. A brake that drags keeps some.</summary>
    public double PressureBar =>
        machine.Brake == BrakeKind.Air
            ? FullPressureBar * Math.Min(1, Math.Max(_applied, _dragShare))
            : double.NaN;

    /// <param name="seconds">Length of the step.</param>
    /// <param name="dancerPercent">Where the dancer is.</param>
    /// <param name="controllerPercent">Where the controller thinks it is.</param>
    /// <param name="hold">The controller wants the roll held.</param>
    /// <param name="holdingLossShare">0 as new to 1 without grip.</param>
    /// <param name="dragNewtonMeters">Torque that stays on when the brake should be off.</param>
    /// <returns>Braking torque, N m, against the motion.</returns>
    public double Step(
        double seconds,
        double dancerPercent,
        double controllerPercent,
        bool hold,
        double holdingLossShare,
        double dragNewtonMeters
    )
    {
        double wanted = hold ? 1 : Wanted(dancerPercent, controllerPercent);
        double lag = machine.Brake == BrakeKind.Air ? AirLagSeconds : SpringLagSeconds;
        _applied = Lag.Step(_applied, wanted, seconds, lag);
        _dragShare = dragNewtonMeters / machine.BrakeTorqueNewtonMeters;
        double torque = _applied * machine.BrakeTorqueNewtonMeters * (1 - holdingLossShare);
        return Math.Max(torque, dragNewtonMeters);
    }

    private double Wanted(double dancerPercent, double controllerPercent)
    {
        if (machine.BrakeOnWrongSide)
            (dancerPercent, controllerPercent) = (100 - dancerPercent, 100 - controllerPercent);
        if (machine.Brake == BrakeKind.SpringLinked)
            return Math.Clamp((dancerPercent - machine.BrakeFromPercent) / SpringTravelPercent, 0, 1);
        double from = machine.BrakeFromPercent - (_valveOpen ? ValveHysteresisPercent : 0);
        _valveOpen = controllerPercent > from;
        return _valveOpen ? 1 : 0;
    }
}
