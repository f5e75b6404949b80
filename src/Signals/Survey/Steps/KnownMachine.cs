namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>What works the spindle brake.</summary>
public enum BrakeKind
{
    /// <summary>Springs and a linkage to the dancer: it bears by where the dancer is.</summary>
    SpringLinked,

    /// <summary>Air through a valve that the controller opens by fill; pressure lags, and it lets go below where it began.</summary>
    Air,
}

/// <summary>What the controller and the configuration say of a machine before the survey.</summary>
public sealed record KnownMachine
{
    /// <summary>Set point taught for 100 %, in the gap's unit.</summary>
    public required double GapAtFull { get; init; }

    /// <summary>Set point taught for 0 %, in the gap's unit.</summary>
    public required double GapAtEmpty { get; init; }

    /// <summary>Where the controller tries to keep the dancer, %.</summary>
    public required double TargetPercent { get; init; }

    /// <summary>How far past full or empty it trips, %.</summary>
    public required double OvertravelPercent { get; init; }

    /// <summary>Lowest and highest gap the sensor can give, in the gap's unit.</summary>
    public required double GapMinimum { get; init; }

    /// <inheritdoc cref="GapMinimum"/>
    public required double GapMaximum { get; init; }

    /// <summary>Resolution of the gap, in its unit.</summary>
    public required double GapStep { get; init; }

    /// <summary>Film stored between empty and full as configured, mm; NaN where not known.</summary>
    public required double StorageMillimeters { get; init; }

    public required BrakeKind Brake { get; init; }

    /// <summary>The span as far as anybody knows before the survey: as taught, and no less than a fifth of the sensor's range, for what was taught may be nonsense.</summary>
    public double LikelySpan => Math.Max(Math.Abs(GapAtFull - GapAtEmpty), (GapMaximum - GapMinimum) / 5);
}
