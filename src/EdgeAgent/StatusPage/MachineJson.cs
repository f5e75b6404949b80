using System.Text.Json;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Oscillation;

namespace Dancerwatch.EdgeAgent.StatusPage;

/// <summary>One machine, all there is to see.</summary>
internal static class MachineJson
{
    public static byte[] Of(MachineWatch watch, MachineSpectrum spectrum) =>
        FlatJson.Of(json =>
        {
            json.WriteString("machine", watch.Place.Machine);
            json.WriteString("line", watch.Place.Line);
            json.Number("empty_trip", watch.Limits.EmptyTripPercent);
            json.Number("full_trip", watch.Limits.FullTripPercent);
            MachineState? state = watch.State();
            WarningJson.Write(json, "warnings", WarningJson.MostUrgentFirst(state?.Open ?? []));
            WarningJson.Write(json, "past", watch.Past?.Rows() ?? []);
            // Before the first good reading everything else holds zeros that mean nothing.
            if (state is null || state.Fill == default)
            {
                json.WriteNull("ts");
                return;
            }
            json.WriteNumber("ts", state.Milliseconds);
            json.WriteString("quality", state.Quality.Code());
            json.WriteString("fault", Word(state.Fill.Fault));
            json.WriteString("regime", state.Regime.Regime.Code());
            json.WriteString("trip_side", state.Regime.TripSide.Code());
            json.Number("regime_seconds", state.Regime.Seconds);
            json.Number("fill", state.Fill.Percent);
            json.Number("target", state.Fill.TargetPercent);
            Band(json, "minute", state.OneMinute);
            Band(json, "quarter", state.FifteenMinutes);
            Band(json, "shift", state.EightHours);
            Margin(json, "full", state.Margin.Full);
            Margin(json, "empty", state.Margin.Empty);
            Forecast(json, state.Forecast);
            Turns(json, state);
            spectrum.Write(json, watch.Trace);
            json.Number("diameter_mm", state.Roll.DiameterMillimeters);
            json.Number("film_left_m", state.Roll.FilmLeftMeters);
            json.Number("minutes_left", state.Roll.MinutesLeft);
        });

    private static void Band(Utf8JsonWriter json, string name, BandEstimate band)
    {
        // A window without readings has no percentiles, whatever stands in its fields.
        if (band.Count == 0)
            band = new BandEstimate(
                double.NaN,
                double.NaN,
                double.NaN,
                double.NaN,
                double.NaN,
                double.NaN,
                double.NaN,
                0
            );
        json.WriteStartObject(name);
        json.Number("p01", band.P01);
        json.Number("p25", band.P25);
        json.Number("p75", band.P75);
        json.Number("p99", band.P99);
        json.WriteEndObject();
    }

    private static void Margin(Utf8JsonWriter json, string side, SideMargin margin)
    {
        json.Number($"{side}_margin", margin.Percent);
        json.Number($"{side}_margin_mm", margin.Millimeters);
    }

    private static void Forecast(Utf8JsonWriter json, ForecastEstimate forecast)
    {
        json.WriteString("side", forecast.Side.Code());
        json.Number("seconds_to_limit", forecast.SecondsToLimit);
        json.WriteString("likely_side", forecast.LikelySide.Code());
        json.Number("probability_5min", forecast.ProbabilityIn5Minutes);
    }

    /// <summary>What turns or acts at which rate, as far as it is known.</summary>
    private static void Turns(Utf8JsonWriter json, MachineState state)
    {
        OscillationEstimate oscillation = state.Oscillation;
        json.Number("cycle_hz", oscillation.CycleHz);
        json.Number("cycle_swing", oscillation.CycleSwingPercent);
        json.Number("turn_hz", state.Roll.TurnHz);
        json.WriteString("rhythm", oscillation.Rhythm.Code());
        json.Number("frequency_hz", oscillation.FrequencyHz);
    }

    private static string? Word(FillFault fault) =>
        fault switch
        {
            FillFault.NoGap => "no gap is read",
            FillFault.BadSetPoints => "the set points cannot be used",
            FillFault.OutOfSensorRange => "the gap is outside what the sensor can give",
            _ => null,
        };
}
