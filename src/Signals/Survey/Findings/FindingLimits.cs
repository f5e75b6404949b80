namespace Dancerwatch.Signals.Survey.Findings;

/// <summary>From where on a result is worth a word: common practice, no source, and never tighter than what a survey can tell.</summary>
internal static class FindingLimits
{
    /// <summary>Set points off by more than this share of the span matter, %.</summary>
    public const double SetPointPercent = 0.5;

    /// <summary>Storage that differs by more than this matters, %.</summary>
    public const double StoragePercent = 3;

    /// <summary>Less clearance than this is too little for heat and wear, % of the span.</summary>
    public const double ClearancePercent = 3;

    /// <summary>More play than this is worth a look, % of the span.</summary>
    public const double PlayPercent = 1;

    /// <summary>More noise than this is worth a look, % of the span.</summary>
    public const double NoisePercent = 0.5;

    /// <summary>More bow than this belongs into the configuration, %.</summary>
    public const double BowPercent = 2;

    /// <summary>A target further off than this is worth a change, %.</summary>
    public const double TargetPercent = 2;

    /// <summary>Film and gap that scatter more do not go together, % of fill.</summary>
    public const double ScatterPercent = 2;

    /// <summary>A cycle that takes more of the storage has little left, %.</summary>
    public const double SwingSharePercent = 40;

    /// <summary>More film after a stop asks for a look at the brake, % of fill.</summary>
    public const double OverrunPercent = 5;

    /// <summary>A spring-linked brake that lets go so much lower than it began to hold sticks, % of fill.</summary>
    public const double StickPercent = 4;

    /// <summary>The unwind stands below this share of its highest speed.</summary>
    public const double StandingShare = 0.1;
}
