namespace Dancerwatch.Signals.Oscillation;

/// <summary>What one look at one window found.</summary>
/// <param name="FrequencyHz">The strongest tone beside the cycle, Hz; NaN where none stands out.</param>
/// <param name="FrequencySdHz">Its standard uncertainty, Hz.</param>
/// <param name="Amplitude">Zero-to-peak, % of fill.</param>
/// <param name="Regularity">See <see cref="Oscillation.Regularity"/>.</param>
/// <param name="UnwindAmplitude">Zero-to-peak of unwind speed at that frequency, m/min; NaN where unknown.</param>
/// <param name="UnwindLeadRadians">How far speed leads fill, radians, unwrapped; NaN where unknown.</param>
/// <param name="HasOvertones">A second or third harmonic stands out too, as from draw in jerks.</param>
/// <param name="SpanSeconds">What the window held, s.</param>
/// <param name="CycleHz">The cycle's rate as seen, Hz; NaN where it was not looked for.</param>
/// <param name="CycleSwing">Its mean peak-to-peak, % of fill; NaN where not seen.</param>
/// <param name="CycleMultiple">The strongest harmonic of the cycle that stands out of the noise; 0 where none does.</param>
internal readonly record struct WindowFinding(
    double FrequencyHz,
    double FrequencySdHz,
    double Amplitude,
    double Regularity,
    double UnwindAmplitude,
    double UnwindLeadRadians,
    bool HasOvertones,
    double SpanSeconds,
    double CycleHz,
    double CycleSwing,
    int CycleMultiple
)
{
    public static WindowFinding Nothing(double spanSeconds) =>
        new(
            FrequencyHz: double.NaN,
            FrequencySdHz: double.NaN,
            Amplitude: double.NaN,
            Regularity: double.NaN,
            UnwindAmplitude: double.NaN,
            UnwindLeadRadians: double.NaN,
            HasOvertones: false,
            SpanSeconds: spanSeconds,
            CycleHz: double.NaN,
            CycleSwing: double.NaN,
            CycleMultiple: 0
        );

    public bool HasTone => double.IsFinite(FrequencyHz);

    public double Periods => FrequencyHz * SpanSeconds;
}
