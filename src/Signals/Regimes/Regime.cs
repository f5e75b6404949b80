namespace Dancerwatch.Signals.Regimes;

/// <summary>What the machine is doing. Statistics count <see cref="Running"/> only.</summary>
public enum Regime
{
    /// <summary>Not enough readings yet to say.</summary>
    Unknown,
    Stopped,
    Starting,
    Running,
    Stopping,
    Tripped,
    RollChange,
}

/// <summary>What the machine is doing at a reading.</summary>
/// <param name="Regime">The regime.</param>
/// <param name="Seconds">How long it has been so, s.</param>
/// <param name="Changed">True on the first reading of a regime.</param>
/// <param name="TripSide">Side of the trip while <see cref="Regime.Tripped"/>.</param>
/// <param name="ProductChanged">The product, or the steady line speed, changed with this reading.</param>
public readonly record struct RegimeEstimate(
    Regime Regime,
    double Seconds,
    bool Changed,
    Fill.Side TripSide,
    bool ProductChanged
)
{
    /// <summary>
    /// Another roll was put on, by its diameter; while running, a splice. True on one reading. (<see cref="Regime.RollChange"/>
    /// is also entered where someone threads film through a stopped dancer; that alone does not make a new roll.)
    /// </summary>
    public bool RollChanged { get; init; }

    /// <summary>
    /// Running, but for less than 5 s since a start, a splice, another product or other set points: film is upset and nothing
    /// is wrong. Statistics count it; hold off judging it.
    /// </summary>
    public bool Settling { get; init; }

    /// <summary>Readings of this regime belong into statistics.</summary>
    public bool CountsForStatistics => Regime == Regime.Running;
}
