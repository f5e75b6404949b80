namespace Dancerwatch.Signals.Roll;

/// <summary>The roll and the unwind, as far as they are known.</summary>
public sealed record RollSettings
{
    /// <summary>Outer diameter of the core, mm.</summary>
    public double CoreDiameterMillimeters { get; init; } = 76;

    /// <summary>Diameter of a fresh roll, mm; NaN where not known.</summary>
    public double FullDiameterMillimeters { get; init; } = double.NaN;

    /// <summary>Film thickness, micrometers; NaN where not known.</summary>
    public double FilmThicknessMicrometers { get; init; } = double.NaN;

    /// <summary>Fastest the unwind can go, m/min; NaN where not known.</summary>
    public double MaximumUnwindMetersPerMinute { get; init; } = double.NaN;
}
