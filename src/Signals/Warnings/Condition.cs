namespace Dancerwatch.Signals.Warnings;

/// <summary>Something we warn of.</summary>
public enum Condition
{
    /// <summary>Projected past a trip within seconds.</summary>
    LimitApproach,

    /// <summary>Probability of a trip over the next minutes is high.</summary>
    TripLikely,

    /// <summary>A percentile band's edge is close to a trip.</summary>
    MarginLow,

    /// <summary>A regular movement large enough to matter.</summary>
    Oscillation,

    /// <summary>Fill stays away from its target.</summary>
    OffTarget,

    /// <summary>The unwind drive is at its limit.</summary>
    DriveLimit,

    /// <summary>The roll runs on after a stop.</summary>
    RollOverrun,

    /// <summary>The sensor contradicts the film, or itself.</summary>
    SensorSuspect,

    /// <summary>The roll will soon be used up.</summary>
    RollEnding,

    /// <summary>Reads are stale or failing: silence is not health.</summary>
    DataLost,
}

/// <summary>What happened to a condition.</summary>
public enum ConditionState
{
    Raised,

    /// <summary>Still raised; priority, side or first cause changed.</summary>
    Changed,
    Cleared,
}

/// <summary>How soon somebody should act.</summary>
public enum Priority
{
    Low,
    Medium,
    High,
}
