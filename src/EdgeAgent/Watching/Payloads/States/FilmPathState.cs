using Dancerwatch.Signals;

namespace Dancerwatch.EdgeAgent.Watching.Payloads.States;

/// <summary><c>state/film-path</c></summary>
internal static class FilmPathState
{
    public static MessageShape<MachineState> Shape { get; } =
        StateShape
            .Of(
                "film-path",
                "Whether the unwind upsets the film, over the last quarter of an hour and at the last stop."
            )
            .Share(
                "score",
                "How far the unwind upsets the film; null before three minutes of running",
                state => state.FilmPath.Score
            )
            .Word(
                "verdict",
                "Where to look: accumulator-first from a score of 0.5",
                Codes.Code,
                state => state.FilmPath.Verdict
            )
            .OptionalText(
                "evidence",
                "The verdict in one sentence, with the numbers that decided",
                state => state.FilmPath.Told
            )
            .Number("running_min", "min", "Time the machine ran", state => state.FilmPath.RunningMinutes)
            .Share(
                "near_full_share",
                "Share of it with fill at 90 % or above",
                state => state.FilmPath.NearFullShare
            )
            .Share(
                "near_empty_share",
                "Share of it with fill at 10 % or below",
                state => state.FilmPath.NearEmptyShare
            )
            .Number(
                "dancer_speed_p99",
                "% of fill a second",
                "99th percentile of the dancer's speed, the cycle's swing included",
                state => state.FilmPath.DancerSpeedP99
            )
            .Number(
                "reversals_per_min",
                "1/min",
                "Sudden reversals of the dancer, its cycle taken out; null without cycleRate",
                state => state.FilmPath.ReversalsPerMinute
            )
            .Number(
                "most_reversals",
                "1/min",
                "The same in the minute that had most",
                state => state.FilmPath.MostReversals
            )
            .Number(
                "widest_minute",
                "% of fill",
                "How far the dancer went within a minute, its cycle taken out; null without cycleRate",
                state => state.FilmPath.WidestMinutePercent
            )
            .Number(
                "swing",
                "% of fill, zero to peak",
                "Regular movement beside the cycle; null where there is none",
                state => state.FilmPath.SwingPercent
            )
            .Number("swing_hz", "Hz", "Its frequency", state => state.FilmPath.SwingHz)
            .Number(
                "unwind_lack",
                "%",
                "Film asked of the unwind and not given, in the last minute or two; null without unwindCommand",
                state => state.FilmPath.LackPercent
            )
            .Number(
                "least_unwind_lack",
                "%",
                "The same in the best minute",
                state => state.FilmPath.LeastLackPercent
            )
            .Count("stops", "Stops", state => state.FilmPath.Stops)
            .Number(
                "overrun_stops",
                "Stops at which the roll ran on by more than 5 % of fill; null without lineSpeed",
                state => state.FilmPath.OverrunStops
            )
            .Count(
                "slack_stops",
                "Stops at which the roll gave film past full",
                state => state.FilmPath.SlackStops
            )
            .Number(
                "largest_overrun",
                "% of fill",
                "How far the roll ran on after the machine drew no more; null without lineSpeed",
                state => state.FilmPath.LargestOverrunPercent
            )
            .Number(
                "last_overrun",
                "% of fill",
                "The same at the last stop",
                state => state.FilmPath.LastOverrunPercent
            )
            .Number(
                "last_slack_mm",
                "mm of film",
                "Film given past full at the last stop",
                state => state.FilmPath.LastSlackMillimeters
            )
            .Number(
                "edge_wander_mm",
                "mm",
                "Standard deviation of the film edge's movements between 1/32 and 2 Hz; this and the rest null without edgePosition, and before 7 min of running",
                state => state.FilmPath.Edge.WanderMillimeters
            )
            .Share(
                "edge_led_share",
                "Share of that wander's variance that goes with fill",
                state => state.FilmPath.Edge.LedShare
            )
            .Share(
                "edge_coherence",
                "Magnitude-squared coherence of fill and edge where fill moves most",
                state => state.FilmPath.Edge.Coherence
            )
            .Share(
                "edge_coherence_by_chance",
                "What series that know nothing of each other exceed in 1 of 100 cases",
                state => state.FilmPath.Edge.ByChance
            )
            .Number(
                "edge_coherence_hz",
                "Hz",
                "Where that coherence is",
                state => state.FilmPath.Edge.FrequencyHz
            );
}
