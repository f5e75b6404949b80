using System.Text.Json;
using Dancerwatch.Signals;
using Dancerwatch.Signals.Bands;
using Dancerwatch.Signals.Fill;
using Dancerwatch.Signals.FilmPath;
using Dancerwatch.Signals.Forecast;
using Dancerwatch.Signals.Oscillation;
using Dancerwatch.Signals.Readings;
using Dancerwatch.Signals.Roll;
using Dancerwatch.Signals.Warnings;

namespace Dancerwatch.EdgeAgent.Watching.Payloads;

/// <summary>One retained state: the last level of its topic and its payload.</summary>
public readonly record struct StatePayload(string Name, byte[] Json);

/// <summary>
/// The retained states of a machine, flat JSON with scalars only. Every state carries machine, ts and quality, so that
/// each can be judged alone. Fields and units: docs/topics.md.
/// </summary>
public static class StatePayloads
{
    public const string ContentType = "application/json";

    private static readonly (string Name, Action<Utf8JsonWriter, MachineState> Write)[] s_states =
    [
        ("fill", Fill),
        ("bands", Bands),
        ("oscillation", Oscillation),
        ("margin", Margin),
        ("conditions", Conditions),
        ("roll", Roll),
        ("film-path", FilmPath),
    ];

    // Names of the fields of each condition, made once: limit_approach, limit_approach_side, ...
    private static readonly (
        Condition Condition,
        string Priority,
        string Side,
        string Cause,
        string Since
    )[] s_conditions =
    [
        .. Enum.GetValues<Condition>()
            .Select(condition =>
            {
                string name = condition.Code().Replace('-', '_');
                return (condition, name, $"{name}_side", $"{name}_cause", $"{name}_since");
            }),
    ];

    public static IEnumerable<StatePayload> Of(MachineState state) =>
        s_states.Select(kind => new StatePayload(
            kind.Name,
            FlatJson.Of(json =>
            {
                json.WriteString("machine", state.Place.Machine);
                json.WriteNumber("ts", state.Milliseconds);
                json.WriteString("quality", Code(state.Quality));
                kind.Write(json, state);
            })
        ));

    private static void Fill(Utf8JsonWriter json, MachineState state)
    {
        FillEstimate fill = state.Fill;
        json.Number("fill", fill.Percent);
        json.Number("target", fill.TargetPercent);
        json.Number("gap_at_empty", fill.GapAtEmpty);
        json.Number("gap_at_full", fill.GapAtFull);
        json.WriteString("fault", Code(fill.Fault));
        json.WriteString("regime", state.Regime.Regime.Code());
        json.Number("regime_seconds", state.Regime.Seconds);
        json.WriteString("trip_side", state.Regime.TripSide.Code());
    }

    private static void Bands(Utf8JsonWriter json, MachineState state)
    {
        Band(json, "1min", state.OneMinute);
        Band(json, "15min", state.FifteenMinutes);
        Band(json, "8h", state.EightHours);
    }

    private static void Band(Utf8JsonWriter json, string window, BandEstimate band)
    {
        // A window without readings has no percentiles, whatever stands in its fields.
        bool any = band.Count > 0;
        foreach (
            (string name, double value) in (ReadOnlySpan<(string, double)>)
                [
                    ("p01", band.P01),
                    ("p05", band.P05),
                    ("p25", band.P25),
                    ("p50", band.P50),
                    ("p75", band.P75),
                    ("p95", band.P95),
                    ("p99", band.P99),
                ]
        )
        {
            json.Number($"{name}_{window}", any ? value : double.NaN);
        }
        json.WriteNumber($"readings_{window}", band.Count);
    }

    private static void Oscillation(Utf8JsonWriter json, MachineState state)
    {
        OscillationEstimate oscillation = state.Oscillation;
        json.WriteString("rhythm", oscillation.Rhythm.Code());
        json.WriteNumber("multiple", oscillation.Multiple);
        json.Number("frequency_hz", oscillation.FrequencyHz);
        json.Number("frequency_sd_hz", oscillation.FrequencySdHz);
        json.Number("amplitude", oscillation.AmplitudePercent);
        json.Number("regularity", oscillation.Regularity);
        json.Number("periods", oscillation.Periods);
        json.Number("growth_per_s", oscillation.GrowthPerSecond);
        json.Number("unwind_phase_deg", oscillation.UnwindPhaseDegrees);
        json.Number("unwind_amplitude_m_min", oscillation.UnwindAmplitudeMetersPerMinute);
        json.Number("cycle_swing", oscillation.CycleSwingPercent);
    }

    private static void Margin(Utf8JsonWriter json, MachineState state)
    {
        SideMargin full = state.Margin.Full;
        SideMargin empty = state.Margin.Empty;
        ForecastEstimate forecast = state.Forecast;
        json.Number("full_margin", full.Percent);
        json.Number("full_margin_mm", full.Millimeters);
        json.Number("full_margin_s", full.Seconds);
        json.Number("empty_margin", empty.Percent);
        json.Number("empty_margin_mm", empty.Millimeters);
        json.Number("empty_margin_s", empty.Seconds);
        json.WriteString("side", forecast.Side.Code());
        json.Number("seconds_to_limit", forecast.SecondsToLimit);
        json.WriteString("likely_side", forecast.LikelySide.Code());
        json.Number("probability_1min", forecast.ProbabilityIn1Minute);
        json.Number("probability_5min", forecast.ProbabilityIn5Minutes);
        json.Number("probability_15min", forecast.ProbabilityIn15Minutes);
    }

    private static void Conditions(Utf8JsonWriter json, MachineState state)
    {
        json.WriteNumber("raised", state.Open.Count);
        json.WriteString(
            "priority",
            state.Open.Count == 0 ? null : state.Open.Max(open => open.Latest.Priority).Code()
        );
        foreach (var names in s_conditions)
        {
            OpenCondition? open = null;
            foreach (OpenCondition candidate in state.Open)
            {
                if (candidate.Latest.Condition == names.Condition)
                    open = candidate;
            }
            json.WriteString(names.Priority, open?.Latest.Priority.Code());
            json.WriteString(names.Side, open?.Latest.Side.Code());
            json.WriteString(names.Cause, open?.Latest.Causes.First.Cause.Code());
            if (open is { } raised)
                json.WriteNumber(names.Since, raised.SinceMilliseconds);
            else
                json.WriteNull(names.Since);
        }
    }

    private static void Roll(Utf8JsonWriter json, MachineState state)
    {
        RollEstimate roll = state.Roll;
        json.WriteString("source", Code(roll.Source));
        json.Number("diameter_mm", roll.DiameterMillimeters);
        json.Number("turn_hz", roll.TurnHz);
        json.Number("film_left_m", roll.FilmLeftMeters);
        json.Number("minutes_left", roll.MinutesLeft);
        json.Number("film_used_m", roll.FilmUsedMeters);
    }

    private static void FilmPath(Utf8JsonWriter json, MachineState state)
    {
        FilmPathEstimate film = state.FilmPath;
        json.Number("score", film.Score);
        json.WriteString("verdict", film.Verdict.Code());
        json.WriteString("evidence", film.Told);
        json.Number("running_min", film.RunningMinutes);
        json.Number("near_full_share", film.NearFullShare);
        json.Number("near_empty_share", film.NearEmptyShare);
        json.Number("dancer_speed_p99", film.DancerSpeedP99);
        json.Number("reversals_per_min", film.ReversalsPerMinute);
        json.Number("most_reversals", film.MostReversals);
        json.Number("widest_minute", film.WidestMinutePercent);
        json.Number("swing", film.SwingPercent);
        json.Number("swing_hz", film.SwingHz);
        json.Number("unwind_lack", film.LackPercent);
        json.Number("least_unwind_lack", film.LeastLackPercent);
        json.WriteNumber("stops", film.Stops);
        json.Number("overrun_stops", film.OverrunStops);
        json.WriteNumber("slack_stops", film.SlackStops);
        json.Number("largest_overrun", film.LargestOverrunPercent);
        json.Number("last_overrun", film.LastOverrunPercent);
        json.Number("last_slack_mm", film.LastSlackMillimeters);
        EdgeFinding edge = film.Edge;
        json.Number("edge_wander_mm", edge.WanderMillimeters);
        json.Number("edge_led_share", edge.LedShare);
        json.Number("edge_coherence", edge.Coherence);
        json.Number("edge_coherence_by_chance", edge.ByChance);
        json.Number("edge_coherence_hz", edge.FrequencyHz);
    }

    private static string Code(Quality quality) =>
        quality switch
        {
            Quality.Good => "good",
            Quality.Partial => "partial",
            _ => "bad",
        };

    private static string? Code(FillFault fault) =>
        fault switch
        {
            FillFault.NoGap => "no-gap",
            FillFault.BadSetPoints => "bad-set-points",
            FillFault.OutOfSensorRange => "out-of-sensor-range",
            _ => null,
        };

    private static string? Code(RollSource source) =>
        source switch
        {
            RollSource.Tag => "tag",
            RollSource.FilmUsed => "film-used",
            RollSource.Turns => "turns",
            _ => null,
        };
}
