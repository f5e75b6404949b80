namespace Dancerwatch.VirtualMachine.Faults;

/// <summary>A fault that starts at a time, grows in a straight line to its severity, and stays.</summary>
/// <param name="Fault">Which.</param>
/// <param name="StartSeconds">When it begins, s of machine time.</param>
/// <param name="GrowthSeconds">From nothing to <paramref name="Severity"/>; 0 strikes at once.</param>
/// <param name="Severity">0 is nothing; about 0.2 trips few machines, 1 most; what 1 means stands at each <see cref="Faults.Fault"/>.</param>
public sealed record FaultSchedule(
    Fault Fault,
    double StartSeconds,
    double GrowthSeconds,
    double Severity = 1
)
{
    /// <summary>How far it has come, 0 to <see cref="Severity"/>.</summary>
    /// <param name="seconds">Machine time, s.</param>
    public double At(double seconds) =>
        seconds < StartSeconds ? 0
        : GrowthSeconds <= 0 ? Severity
        : Severity * Math.Min(1, (seconds - StartSeconds) / GrowthSeconds);
}
