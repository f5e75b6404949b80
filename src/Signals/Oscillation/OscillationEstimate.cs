namespace Dancerwatch.Signals.Oscillation;

/// <summary>
/// The strongest regular movement of fill other than the machine cycle's own swing, and that swing beside it. On a
/// machine that shows nothing but its cycle, the first fields describe the cycle (<see cref="Rhythm.MachineCycle"/>).
/// </summary>
/// <param name="FrequencyHz">Frequency, Hz; NaN where none.</param>
/// <param name="FrequencySdHz">Standard uncertainty of the frequency, Hz; NaN for the machine cycle.</param>
/// <param name="AmplitudePercent">Zero-to-peak amplitude, % of fill.</param>
/// <param name="Regularity">Mean period over three standard deviations of the period; above 1 is regular. 99 at most; NaN for the machine cycle.</param>
/// <param name="Periods">Periods seen in the window.</param>
/// <param name="Rhythm">What turns or acts at that rate.</param>
/// <param name="Multiple">Which multiple of that rhythm (1 = fundamental); 0 where it fits no rotation.</param>
/// <param name="UnwindPhaseDegrees">Phase of unwind speed relative to fill at that frequency, degrees in (-180, 180], positive where speed leads; NaN where unknown.</param>
/// <param name="UnwindAmplitudeMetersPerMinute">Zero-to-peak amplitude of unwind speed at that frequency, m/min; NaN where unknown.</param>
/// <param name="GrowthPerSecond">Growth rate of log amplitude, 1/s; positive grows; NaN where unknown.</param>
/// <param name="CycleSwingPercent">Fill's peak-to-peak within a machine cycle, % of fill, averaged over the window; NaN where unknown.</param>
/// <param name="CycleHz">Rate of the machine cycle as seen in fill, Hz; NaN where no cycle is known or seen.</param>
/// <param name="CycleSwingGrowthPerSecond">Growth rate of the cycle swing's logarithm, 1/s; NaN where unknown.</param>
/// <param name="UnwindShare">
/// Share of the movement that the unwind's speed accounts for by film balance (fill changes by what comes in less what
/// goes out): 1 = all of it, 0 = none; NaN where the storage in metres or the speed is unknown.
/// </param>
/// <param name="LowestHz">Lowest frequency of which the readings so far hold ten periods, Hz; NaN before the first look.</param>
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
    double CycleSwingPercent,
    double CycleHz = double.NaN,
    double CycleSwingGrowthPerSecond = double.NaN,
    double UnwindShare = double.NaN,
    double LowestHz = double.NaN
)
{
    /// <summary>A regular movement stands out of the noise.</summary>
    public bool IsOscillating =>
        Rhythm is Rhythm.MachineCycle or Rhythm.RollTurn or Rhythm.ControlLoop or Rhythm.Unknown;

    /// <summary>A regular movement other than the machine cycle's own swing stands out of the noise.</summary>
    public bool IsOscillatingBesideCycle => IsOscillating && Rhythm != Rhythm.MachineCycle;

    /// <summary>Nothing known but <paramref name="rhythm"/>: None or NotEnoughData.</summary>
    internal static OscillationEstimate Nothing(Rhythm rhythm) =>
        new(
            FrequencyHz: double.NaN,
            FrequencySdHz: double.NaN,
            AmplitudePercent: double.NaN,
            Regularity: double.NaN,
            Periods: double.NaN,
            Rhythm: rhythm,
            Multiple: 0,
            UnwindPhaseDegrees: double.NaN,
            UnwindAmplitudeMetersPerMinute: double.NaN,
            GrowthPerSecond: double.NaN,
            CycleSwingPercent: double.NaN
        );
}
