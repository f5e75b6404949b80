namespace Dancerwatch.Signals.Fill;

/// <summary>Why no fill could be computed from a reading, or what is odd about it.</summary>
public enum FillFault
{
    None,

    /// <summary>The gap was not read, or is not a finite number.</summary>
    NoGap,

    /// <summary>The set points are equal, not finite, or closer than the resolution allows; no fill can be computed.</summary>
    BadSetPoints,

    /// <summary>The gap lies outside the range the sensor can give. Fill is computed all the same, for a person to see; do not count it.</summary>
    OutOfSensorRange,
}

/// <summary>Fill of the accumulator from one reading.</summary>
/// <param name="Percent">Fill, %; 0 at the empty set point, 100 at the full one, never clamped; NaN where <paramref name="Fault"/> forbids it.</param>
/// <param name="GapAtEmpty">Set point in force for 0 %, in the gap's unit.</param>
/// <param name="GapAtFull">Set point in force for 100 %, in the gap's unit.</param>
/// <param name="TargetPercent">Target fill in force, %.</param>
/// <param name="Fault">Why there is no fill, or what is odd about it.</param>
/// <param name="SetPointsChanged">The set points in force differ from the last usable ones before them.</param>
public readonly record struct FillEstimate(
    double Percent,
    double GapAtEmpty,
    double GapAtFull,
    double TargetPercent,
    FillFault Fault,
    bool SetPointsChanged
);
