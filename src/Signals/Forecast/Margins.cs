using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Signals.Forecast;

/// <summary>Distance from a band's edges to the trips.</summary>
internal static class Margins
{
    public static MarginEstimate From(in BandEstimate band, FillSettings fill, TripForecast forecast) =>
        new(
            Of(fill.FullTripPercent - band.P99, fill.StorageMillimeters, forecast[Side.Full]),
            Of(band.P01 - fill.EmptyTripPercent, fill.StorageMillimeters, forecast[Side.Empty])
        );

    private static SideMargin Of(
        double percent,
        double storageMillimeters,
        TripForecast.SideForecast forecast
    ) => new(percent, percent / 100 * storageMillimeters, forecast.SecondsToTrip);
}
