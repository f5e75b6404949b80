using System.Text.Json;
using Dancerwatch.EdgeAgent.Watching;
using Dancerwatch.EdgeAgent.Watching.Payloads;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.StatusPage;

/// <summary>All machines in short.</summary>
internal static class LineJson
{
    public static byte[] Of(IReadOnlyList<MachineWatch> watches) =>
        FlatJson.Of(json =>
        {
            json.WriteStartArray("machines");
            foreach (MachineWatch watch in watches)
            {
                json.WriteStartObject();
                Write(json, watch);
                json.WriteEndObject();
            }
            json.WriteEndArray();
        });

    private static void Write(Utf8JsonWriter json, MachineWatch watch)
    {
        json.WriteString("machine", watch.Place.Machine);
        if (watch.State() is not { } state)
        {
            json.WriteNull("ts");
            return;
        }
        // Before the first good reading everything else holds zeros that mean nothing.
        bool isKnown = state.Fill != default;
        json.WriteNumber("ts", state.Milliseconds);
        json.WriteString("quality", state.Quality.Code());
        json.WriteString("regime", state.Regime.Regime.Code());
        json.WriteString("trip_side", state.Regime.TripSide.Code());
        json.Number("fill", state.Quality == Quality.Bad ? double.NaN : state.Fill.Percent);
        json.Number("p01", state.OneMinute.Count > 0 ? state.OneMinute.P01 : double.NaN);
        json.Number("p99", state.OneMinute.Count > 0 ? state.OneMinute.P99 : double.NaN);
        json.Number("target", isKnown ? state.Fill.TargetPercent : double.NaN);
        json.Number("empty_trip", watch.Limits.EmptyTripPercent);
        json.Number("full_trip", watch.Limits.FullTripPercent);
        json.WriteNumber("raised", state.Open.Count);
        ConditionTransition? first = WarningJson.MostUrgentFirst(state.Open).FirstOrDefault().Latest;
        json.WriteString("priority", first?.Priority.Code());
        json.WriteString("condition", first?.Condition.Code());
        json.WriteString("side", first?.Side.Code());
    }
}
