namespace Dancerwatch.Signals.Fill;

/// <summary>What turns a gap into a fill, and where the machine trips.</summary>
public sealed record FillSettings
{
    /// <summary>Gap when the accumulator is empty, in the gap's unit. A <c>GapAtEmpty</c> signal overrides it.</summary>
    public required double GapAtEmpty { get; init; }

    /// <summary>Gap when the accumulator is full, in the gap's unit. A <c>GapAtFull</c> signal overrides it.</summary>
    public required double GapAtFull { get; init; }

    /// <summary>Where the controller tries to keep the dancer, %. A <c>TargetFill</c> signal overrides it.</summary>
    public double TargetPercent { get; init; } = 50;

    /// <summary>Smallest step of the gap, in its unit; 1 for a sensor read in counts.</summary>
    public double GapResolution { get; init; } = 1;

    /// <summary>Lowest and highest gap the sensor can give, in the gap's unit.</summary>
    public double GapMinimum { get; init; }

    /// <inheritdoc cref="GapMinimum"/>
    public double GapMaximum { get; init; } = 4095;

    /// <summary>
    /// Curved cam: pairs of straight-line fill (%, from the gap) and true fill (%). Strictly rising in both, at least two
    /// pairs; extended in a straight line beyond its ends. Empty: no curve.
    /// </summary>
    public IReadOnlyList<(double StraightPercent, double TruePercent)> Cam { get; init; } = [];

    /// <summary>How far past full or empty the controller trips, % of fill.</summary>
    public double OvertravelPercent { get; init; } = 5;

    /// <summary>How long fill must be past before it trips, s.</summary>
    public double TripHoldSeconds { get; init; } = 0.5;

    /// <summary>Film stored between empty and full, mm; NaN where not known.</summary>
    public double StorageMillimeters { get; init; } = double.NaN;

    /// <summary>Fill at which the machine trips full, %.</summary>
    public double FullTripPercent => 100 + OvertravelPercent;

    /// <summary>Fill at which the machine trips empty, %.</summary>
    public double EmptyTripPercent => -OvertravelPercent;
}
