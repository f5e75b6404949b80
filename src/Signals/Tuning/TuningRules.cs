namespace Dancerwatch.Signals.Tuning;

/// <summary>What counts as what when settings are tried on history. docs/methods/tuning.md says why.</summary>
public sealed record TuningRules
{
    /// <summary>A warning is true when a trip on its side comes while it is raised, or so long after it, s.</summary>
    public double HorizonSeconds { get; init; } = 1_800;

    /// <summary>Who stops a machine for so long may have done something about it, s.</summary>
    public double StopSeconds { get; init; } = 10;

    /// <summary>In a hole of the readings longer than this anything may have happened, s.</summary>
    public double HoleSeconds { get; init; } = 60;

    /// <summary>Besides the hold time: a trip that comes no later after a start was under way when the machine was started, s.</summary>
    public double UnderWaySeconds { get; init; } = 0.5;

    /// <summary>A missed trip is as bad as so many false warnings.</summary>
    public double FalseWarningsPerMissedTrip { get; init; } = 20;

    /// <summary>Fewer trips are too few to choose by.</summary>
    public int FewestTrips { get; init; } = 10;
}
