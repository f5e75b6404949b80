namespace Dancerwatch.Signals.Causes;

/// <summary>Why margin goes.</summary>
public enum Cause
{
    Unknown,
    LoopHunting,
    RollEccentricity,
    CycleSwing,
    BrakeDrag,
    RollOverrun,
    SensorDrift,
    SensorNoise,
    SensorStuck,
    DriveSaturation,
    RollEnding,
    FilmSnag,
    SetpointError,
}

/// <summary>A cause and how sure we are of it.</summary>
/// <param name="Cause">The cause.</param>
/// <param name="Confidence">0 to 1; the confidences of a ranking sum to at most 1.</param>
public readonly record struct RankedCause(Cause Cause, double Confidence);

/// <summary>The three likeliest causes, likeliest first. Unused places hold <see cref="Cause.Unknown"/> with confidence 0.</summary>
public readonly record struct CauseRanking(RankedCause First, RankedCause Second, RankedCause Third);
