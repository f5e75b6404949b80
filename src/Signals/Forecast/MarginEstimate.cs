namespace Dancerwatch.Signals.Forecast;

/// <summary>Distance from a percentile band's edge (p01 on the empty side, p99 on the full side) to the trip on that side.</summary>
/// <param name="Percent">% of fill; negative when the band passes the trip; NaN where unknown.</param>
/// <param name="Millimeters">mm of film; NaN where the storage is not configured.</param>
/// <param name="Seconds">Seconds until the slow part of fill reaches the trip at its present robust rate; infinity when it moves away; NaN where unknown.</param>
public readonly record struct SideMargin(double Percent, double Millimeters, double Seconds);

/// <summary>Margin to both trips.</summary>
public readonly record struct MarginEstimate(SideMargin Full, SideMargin Empty);
