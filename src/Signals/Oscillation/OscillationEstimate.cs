namespace Dancerwatch.Signals.Oscillation;

/// <summary>Which known rhythm an oscillation fits.</summary>
public enum Rhythm
{
    /// <summary>No regular movement.</summary>
    None,

    /// <summary>Fewer than ten periods seen: not enough data.</summary>
    NotEnoughData,

    /// <summary>The machine's cycle, or a whole multiple of it.</summary>
    MachineCycle,

    /// <summary>One turn of the roll, or a whole multiple of it.</summary>
    RollTurn,

    /// <summary>The control loop of unwind and dancer: unwind speed leads fill by about a quarter period or more, at a rate no rotation explains.</summary>
    ControlLoop,

    /// <summary>Regular, but it fits nothing known.</summary>
    Unknown,
}

/// <summary>The strongest regular movement of fill slower than or beside the machine cycle.</summary>
/// <param name="FrequencyHz">Frequency, Hz; NaN where none.</param>
/// <param name="FrequencySdHz">Standard uncertainty of the frequency, Hz.</param>
/// <param name="AmplitudePercent">Zero-to-peak amplitude, % of fill.</param>
/// <param name="Regularity">Mean period over three standard deviations of the period; above 1 is regular.</param>
/// <param name="Periods">Periods seen in the window.</param>
/// <param name="Rhythm">What turns or acts at that rate.</param>
/// <param name="Multiple">Which multiple of that rhythm (1 = fundamental).</param>
/// <param name="UnwindPhaseDegrees">Phase of unwind speed relative to fill at that frequency, degrees in (-180, 180]; NaN where unknown.</param>
/// <param name="UnwindAmplitudeMetersPerMinute">Zero-to-peak amplitude of unwind speed at that frequency, m/min; NaN where unknown.</param>
/// <param name="GrowthPerSecond">Growth rate of log amplitude, 1/s; positive grows; NaN where unknown.</param>
/// <param name="CycleSwingPercent">Fill's peak-to-peak within a machine cycle, %; NaN where unknown.</param>
public readonly record struct OscillationEstimate(
    double FrequencyHz,
    double FrequencySdHz,
    double AmplitudePercent,
    double Regularity,
    double Periods,
    Rhythm Rhythm,
    int Multiple,
    double UnwindPhaseDegrees,
    double UnwindAmplitudeMetersPerMinute,
    double GrowthPerSecond,
    double CycleSwingPercent
)
{
    /// <summary>A regular movement stands out of the noise.</summary>
    public bool IsOscillating =>
        Rhythm is Rhythm.MachineCycle or Rhythm.RollTurn or Rhythm.ControlLoop or Rhythm.Unknown;
}
