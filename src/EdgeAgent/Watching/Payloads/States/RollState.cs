using Dancerwatch.Signals;

namespace Dancerwatch.EdgeAgent.Watching.Payloads.States;

/// <summary><c>state/roll</c></summary>
internal static class RollState
{
    public static MessageShape<MachineState> Shape { get; } =
        StateShape
            .Of("roll", "The roll of film, and how long it will last.")
            .Word(
                "source",
                "Where the diameter comes from; null where it is not known",
                Codes.Code,
                state => state.Roll.Source
            )
            .Number("diameter_mm", "mm", "Outer diameter", state => state.Roll.DiameterMillimeters)
            .Number("turn_hz", "Hz", "Turns a second at the present film speed", state => state.Roll.TurnHz)
            .Number("film_left_m", "m", "Film left", state => state.Roll.FilmLeftMeters)
            .Number(
                "minutes_left",
                "min",
                "Time left at the present mean film speed",
                state => state.Roll.MinutesLeft
            )
            .Number(
                "film_used_m",
                "m",
                "Film used since the start or the last roll change",
                state => state.Roll.FilmUsedMeters
            );
}
