using System.Globalization;

namespace Dancerwatch.EdgeAgent;

/// <summary>Durations as a person reads them.</summary>
internal static class Durations
{
    /// <param name="seconds">From 0; NaN is not known, infinity has no end.</param>
    public static string InWords(double seconds) =>
        double.IsNaN(seconds) ? "–"
        : double.IsInfinity(seconds) ? "no end"
        : seconds < 100 ? string.Create(CultureInfo.InvariantCulture, $"{seconds:F1} s")
        : seconds < 99 * 60 ? string.Create(CultureInfo.InvariantCulture, $"{seconds / 60:F0} min")
        : string.Create(CultureInfo.InvariantCulture, $"{seconds / 3600:F1} h");
}
