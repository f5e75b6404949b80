using Dancerwatch.Signals;

namespace Dancerwatch.EdgeAgent.Watching.Payloads.States;

/// <summary><c>state/fill</c></summary>
internal static class FillState
{
    public static MessageShape<MachineState> Shape { get; } =
        StateShape
            .Of("fill", "How full the accumulator is, and what the machine does.")
            .Number(
                "fill",
                "%",
                "Fill, 0 at the empty set point and 100 at the full one, never clamped",
                state => state.Fill.Percent
            )
            .Number("target", "%", "Fill the controller aims at", state => state.Fill.TargetPercent)
            .Number(
                "gap_at_empty",
                "the gap's, counts or mm",
                "Empty set point in force",
                state => state.Fill.GapAtEmpty
            )
            .Number(
                "gap_at_full",
                "the gap's, counts or mm",
                "Full set point in force",
                state => state.Fill.GapAtFull
            )
            .Word(
                "fault",
                "Why there is no fill, or what is odd about it; null for nothing",
                Codes.Code,
                state => state.Fill.Fault
            )
            .Word("regime", "What the machine does", Codes.Code, state => state.Regime.Regime)
            .Number("regime_seconds", "s", "How long it has done so", state => state.Regime.Seconds)
            .Word(
                "trip_side",
                "The end of travel it tripped at; null while not tripped",
                Codes.Code,
                state => state.Regime.TripSide
            );
}
