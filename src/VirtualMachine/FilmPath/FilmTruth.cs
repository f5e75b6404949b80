namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>What is really the case, which no controller knows. For tests and for judging warnings.</summary>
/// <param name="FillPercent">Where the dancer is, %.</param>
/// <param name="StoredMeters">Film in the accumulator above the empty mark, m.</param>
/// <param name="LooseMeters">Film off the roll that has not reached the accumulator, m.</param>
/// <param name="UnwoundMeters">Film taken off rolls since the start, m; less what was wound back by hand.</param>
/// <param name="DrawnMeters">Film the machine has pulled since the start, m.</param>
/// <param name="RollDiameterMillimeters">mm.</param>
/// <param name="RollTurnHertz">Turns of the roll per second.</param>
public readonly record struct FilmTruth(
    double FillPercent,
    double StoredMeters,
    double LooseMeters,
    double UnwoundMeters,
    double DrawnMeters,
    double RollDiameterMillimeters,
    double RollTurnHertz
);
