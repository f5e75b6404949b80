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
    /// <summary>Readings of this regime belong into statistics.</summary>
    public bool CountsForStatistics => Regime == Regime.Running;
}
