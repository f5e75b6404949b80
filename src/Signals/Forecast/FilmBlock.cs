namespace Dancerwatch.Signals.Forecast;

/// <summary>
/// What whole machine cycles left behind: a block spans the fewest cycles that last at least
/// <see cref="FilmBlocks.ShortestSeconds"/>, so its means hold no trace of the cycle's own swing. NaN where a signal is unknown.
/// </summary>
/// <param name="Seconds">Time of its end, s.</param>
/// <param name="DurationSeconds">Its length, s.</param>
/// <param name="MeanFill">Mean fill, %.</param>
/// <param name="FillChange">Fill at its end less fill at its start, %.</param>
/// <param name="LowestFill">Smallest fill, %.</param>
/// <param name="HighestFill">Largest fill, %.</param>
/// <param name="HeldFull">Highest fill that the full-side trip's timer saw, %.</param>
/// <param name="HeldEmpty">Lowest fill that the empty-side trip's timer saw, %.</param>
/// <param name="MeanUnwind">Mean unwind speed, m/min.</param>
/// <param name="LowestUnwind">Smallest unwind speed, m/min.</param>
/// <param name="HighestUnwind">Largest unwind speed, m/min.</param>
/// <param name="MeanCommand">Mean speed asked of the unwind, m/min.</param>
/// <param name="CommandRange">Largest less smallest speed asked of the unwind, m/min.</param>
/// <param name="MeanLine">Mean line speed, m/min.</param>
/// <param name="Roughness">How far readings lie off the line between their neighbours, %: energy faster than the film can move (<see cref="Forecast.Roughness"/>).</param>
/// <param name="StillShare">Share of readings whose gap equals the one before.</param>
/// <param name="BrakeShare">Share of readings with the brake on.</param>
/// <param name="Readings">Readings it holds.</param>
internal readonly record struct FilmBlock(
    double Seconds,
    double DurationSeconds,
    double MeanFill,
    double FillChange,
    double LowestFill,
    double HighestFill,
    double HeldFull,
    double HeldEmpty,
    double MeanUnwind,
    double LowestUnwind,
    double HighestUnwind,
    double MeanCommand,
    double CommandRange,
    double MeanLine,
    double Roughness,
    double StillShare,
    double BrakeShare,
    int Readings
)
{
    /// <summary>Fill's peak-to-peak within the block, %.</summary>
    public double Swing => HighestFill - LowestFill;

    /// <summary>The same without what fill gained or lost over the block, %.</summary>
    public double CycleSwing => Swing - Math.Abs(FillChange);
}
