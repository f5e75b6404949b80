namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// The brake on the spindle. Spring-linked: its torque rises with the dancer over the last part of travel. Air: switched by
/// the controller's fill, pressure follows as a first-order lag. Either way it also holds while the machine is tripped.
/// </summary>
internal sealed class SpindleBrake(BrakeKind kind, double torqueNewtonMeters, double fromPercent)
{
    private const double FullPressureBar = 6;
    private const double AirLagSeconds = 0.15;

    // From first touch to full hold.
    private const double TravelPercent = 10;

    /// <summary>0 open to 1 holding fully.</summary>
    public double Applied { get; private set; }

    public bool IsOn => Applied > 0.05;

    public double PressureBar => kind == BrakeKind.Air ? Applied * FullPressureBar : double.NaN;

    /// <returns>Braking torque, N m, against the motion.</returns>
    /// <param name="seconds">Length of the step.</param>
    /// <param name="dancerPercent">Where the dancer is.</param>
    /// <param name="controllerPercent">Where the controller thinks it is.</param>
    /// <param name="hold">The controller wants the roll held.</param>
    /// <param name="wear">0 as new to 1 without grip.</param>
    public double Step(double seconds, double dancerPercent, double controllerPercent, bool hold, double wear)
    {
        double position = kind == BrakeKind.SpringLinked ? dancerPercent : controllerPercent;
        double wanted = hold ? 1 : Math.Clamp((position - fromPercent) / TravelPercent, 0, 1);
        double lag = kind == BrakeKind.Air ? AirLagSeconds : 0.02;
        Applied += (wanted - Applied) * seconds / lag;
        return Applied * torqueNewtonMeters * (1 - wear);
    }
}
