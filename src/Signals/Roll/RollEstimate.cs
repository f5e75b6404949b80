namespace Dancerwatch.Signals.Roll;

/// <summary>Where the roll's diameter comes from.</summary>
public enum RollSource
{
    None,

    /// <summary>A tag of the controller.</summary>
    Tag,

    /// <summary>Film used since a known roll was put on.</summary>
    FilmUsed,

    /// <summary>Line speed over the once-per-turn frequency seen in the fill.</summary>
    Turns,
}

/// <summary>The roll at a reading. Lengths by film geometry, L = pi (D^2 - d^2) / (4 t).</summary>
/// <param name="DiameterMillimeters">Outer diameter, mm; NaN where unknown.</param>
/// <param name="TurnHz">Turns per second at the present mean film speed, Hz; NaN where unknown.</param>
/// <param name="FilmLeftMeters">Film left, m; NaN where unknown.</param>
/// <param name="MinutesLeft">Minutes left at the present mean film speed; NaN where unknown.</param>
/// <param name="FilmUsedMeters">Film used since start or the last roll change, m.</param>
/// <param name="Source">Where the diameter comes from.</param>
public readonly record struct RollEstimate(
    double DiameterMillimeters,
    double TurnHz,
    double FilmLeftMeters,
    double MinutesLeft,
    double FilmUsedMeters,
    RollSource Source
)
{
    /// <summary>
    /// How far to trust the diameter, 0 to 1 (a judgement, no probability): 1 a tag, 0.9 turns seen, and what film used since
    /// leaves of those; 0.8 a roll seen to be new and taken to be full; 0.3 a full roll presumed, for film was threaded when
    /// the old roll was nearly used up or unknown; 0 nothing known.
    /// </summary>
    public double Trust { get; init; }
}
