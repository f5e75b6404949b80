namespace Dancerwatch.Signals.Bands;

/// <summary>
/// Percentiles of fill over a sliding window of running time, %. Definition: inverse of the empirical distribution
/// function, Hyndman &amp; Fan (1996) type 1: the smallest value with at least p of the readings at or below it; so each is
/// a fill that was really read. All NaN while <paramref name="Count"/> is 0.
/// </summary>
/// <param name="Count">Readings in the window.</param>
public readonly record struct BandEstimate(
    double P01,
    double P05,
    double P25,
    double P50,
    double P75,
    double P95,
    double P99,
    int Count
);
