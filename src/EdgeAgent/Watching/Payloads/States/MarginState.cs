using Dancerwatch.Signals;
using Dancerwatch.Signals.Forecast;

namespace Dancerwatch.EdgeAgent.Watching.Payloads.States;

/// <summary><c>state/margin</c></summary>
internal static class MarginState
{
    public static MessageShape<MachineState> Shape { get; } =
        StateShape
            .Of("margin", "How much room is left to each trip, and how soon one may come.")
            .Side("full", state => state.Margin.Full)
            .Side("empty", state => state.Margin.Empty)
            .Word(
                "side",
                "The trip that would be passed first; null where none is approached",
                Codes.Code,
                state => state.Forecast.Side
            )
            .Number(
                "seconds_to_limit",
                "s",
                "Time to that trip; null where none is approached",
                state => state.Forecast.SecondsToLimit
            )
            .Word("likely_side", "Side of the probabilities", Codes.Code, state => state.Forecast.LikelySide)
            .Share(
                "probability_1min",
                "Probability that the trip is passed within 1 min",
                state => state.Forecast.ProbabilityIn1Minute
            )
            .Share(
                "probability_5min",
                "Probability that the trip is passed within 5 min",
                state => state.Forecast.ProbabilityIn5Minutes
            )
            .Share(
                "probability_15min",
                "Probability that the trip is passed within 15 min",
                state => state.Forecast.ProbabilityIn15Minutes
            );

    private static MessageShape<MachineState> Side(
        this MessageShape<MachineState> shape,
        string side,
        Func<MachineState, SideMargin> of
    ) =>
        shape
            .Number(
                $"{side}_margin",
                "% of fill",
                $"From the edge of the last minute's band to the {side}-side trip; negative past it",
                state => of(state).Percent
            )
            .Number(
                $"{side}_margin_mm",
                "mm of film",
                "The same; null where the storage is not configured",
                state => of(state).Millimeters
            )
            .Number(
                $"{side}_margin_s",
                "s",
                "The same at the present slow rate; null where fill moves away",
                state => of(state).Seconds
            );
}
