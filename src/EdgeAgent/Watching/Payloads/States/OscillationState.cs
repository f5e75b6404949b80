using Dancerwatch.Signals;

namespace Dancerwatch.EdgeAgent.Watching.Payloads.States;

/// <summary><c>state/oscillation</c></summary>
internal static class OscillationState
{
    public static MessageShape<MachineState> Shape { get; } =
        StateShape
            .Of("oscillation", "The regular movement of the dancer, and what turns at that rate.")
            .Word(
                "rhythm",
                "What turns or acts at that rate; not-enough-data before ten periods",
                Codes.Code,
                state => state.Oscillation.Rhythm
            )
            .Count(
                "multiple",
                "Of which multiple of that rhythm; 1 is the fundamental",
                state => state.Oscillation.Multiple
            )
            .Number("frequency_hz", "Hz", "Frequency", state => state.Oscillation.FrequencyHz)
            .Number(
                "frequency_sd_hz",
                "Hz",
                "Standard uncertainty of the frequency",
                state => state.Oscillation.FrequencySdHz
            )
            .Number(
                "amplitude",
                "% of fill, zero to peak",
                "Amplitude",
                state => state.Oscillation.AmplitudePercent
            )
            .Number(
                "regularity",
                "Mean period over three standard deviations of the period; above 1 is regular",
                state => state.Oscillation.Regularity
            )
            .Number("periods", "Periods seen in the window", state => state.Oscillation.Periods)
            .Number(
                "growth_per_s",
                "1/s",
                "Growth of the logarithm of the amplitude; positive grows",
                state => state.Oscillation.GrowthPerSecond
            )
            .Number(
                "unwind_phase_deg",
                "degrees",
                "Phase of the unwind speed at that frequency",
                state => state.Oscillation.UnwindPhaseDegrees
            )
            .Number(
                "unwind_amplitude_m_min",
                "m/min",
                "Amplitude of the unwind speed at that frequency",
                state => state.Oscillation.UnwindAmplitudeMetersPerMinute
            )
            .Number(
                "cycle_swing",
                "% of fill, peak to peak",
                "Swing within a machine cycle",
                state => state.Oscillation.CycleSwingPercent
            );
}
