namespace Dancerwatch.VirtualMachine.Faults;

/// <summary>What can go wrong, and which side it trips in the end where nothing else happens.</summary>
public enum Fault
{
    /// <summary>The loop's gain and lags grow until it swings by itself. Either side.</summary>
    LoopHunting,

    /// <summary>The roll sits off its middle, its weight pulls the spindle round unevenly. Either side.</summary>
    RollEccentricity,

    /// <summary>Longer bags at the same film speed: the pull outgrows the storage. Either side.</summary>
    CycleSwing,

    /// <summary>The brake does not come off: the drive pulls against it until it can no more. Empty side.</summary>
    BrakeDrag,

    /// <summary>Brake and drive do not hold the roll back: it runs on when the machine stops. Full side, at a stop.</summary>
    RollOverrun,

    /// <summary>The gap reads higher fill than there is, by and by: the controller empties the accumulator. Empty side.</summary>
    SensorDrift,

    /// <summary>Noise, then the face touching the cam: the gap reads nothing. The side where the gap is small.</summary>
    SensorNoise,

    /// <summary>The gap stays at one value. The controller winds film in or out as that value says. Either side.</summary>
    SensorStuck,

    /// <summary>The drive's top speed falls below what the line takes. Empty side.</summary>
    DriveSaturation,

    /// <summary>The roll is at its end at the time the fault has grown. Empty side.</summary>
    RollEnding,

    /// <summary>Film catches before the accumulator: what the roll gives does not all arrive. Empty side.</summary>
    FilmSnag,

    /// <summary>Set points taught wrong: both shifted, so that fill reads less than it is. Full side.</summary>
    SetpointError,
}

/// <summary>A fault that starts at a time and grows in a straight line to its severity.</summary>
/// <param name="Fault">Which.</param>
/// <param name="StartSeconds">When it begins, s of machine time.</param>
/// <param name="GrowthSeconds">From nothing to <paramref name="Severity"/>; 0 strikes at once.</param>
/// <param name="Severity">1 trips most machines in the end; 0.2 few.</param>
public sealed record FaultSchedule(
    Fault Fault,
    double StartSeconds,
    double GrowthSeconds,
    double Severity = 1
)
{
    /// <summary>How far it has come, 0 to <see cref="Severity"/>.</summary>
    public double At(double seconds) =>
        seconds < StartSeconds ? 0
        : GrowthSeconds <= 0 ? Severity
        : Severity * Math.Min(1, (seconds - StartSeconds) / GrowthSeconds);
}
