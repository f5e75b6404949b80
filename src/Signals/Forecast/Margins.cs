using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Signals.Forecast;

/// <summary>Distance from a band's edges to the trips.</summary>
internal static class Margins
{
    /// <param name="offsetPercent">What fill by the set points taught at standstill reads more than by those in force, %.</param>
    public static MarginEstimate From(
        in BandEstimate band,
        double offsetPercent,
        FillSettings fill,
        TripForecast forecast
    ) =>
        new(
            Of(fill.FullTripPercent - band.P99 - offsetPercent, fill.StorageMillimeters, forecast[Side.Full]),
            Of(
                band.P01 + offsetPercent - fill.EmptyTripPercent,
                fill.StorageMillimeters,
                forecast[Side.Empty]
            )
        );

    private static SideMargin Of(
        double percent,
        double storageMillimeters,
        TripForecast.SideForecast forecast
    ) => new(percent, percent / 100 * storageMillimeters, forecast.SecondsToTrip);
}
