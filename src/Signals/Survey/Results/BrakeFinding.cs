namespace Dancerwatch.Signals.Survey.Results;

/// <summary>Where it is known from what the brake does.</summary>
public enum BrakeSource
{
    Nothing,

    /// <summary>Its air pressure.</summary>
    Pressure,

    /// <summary>Its switch or valve.</summary>
    Switch,

    /// <summary>An unwind that does not do what it is asked for.</summary>
    Unwind,
}

/// <summary>On which side the brake bears.</summary>
public enum BrakeSide
{
    Unknown,

    /// <summary>As it should.</summary>
    Full,

    /// <summary>The wrong one.</summary>
    Empty,

    /// <summary>It stays on all along.</summary>
    Both,

    /// <summary>It stays off all along.</summary>
    Neither,
}

/// <summary>Where the spindle brake starts to hold and where it lets go.</summary>
/// <param name="BearsFrom">Fill at which it starts to hold, on the way up (on the way down where it bears on the wrong side), %.</param>
/// <param name="LetsGoAt">Fill at which it lets go on the way back, %.</param>
public readonly record struct BrakeFinding(
    BrakeSource Source,
    BrakeSide Side,
    Uncertain BearsFrom,
    Uncertain LetsGoAt
)
{
    public static BrakeFinding Unknown =>
        new(BrakeSource.Nothing, BrakeSide.Unknown, Uncertain.Unknown, Uncertain.Unknown);
}
