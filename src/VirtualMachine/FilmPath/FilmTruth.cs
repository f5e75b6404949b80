namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>What is really the case, which no controller knows. For tests and for judging warnings.</summary>
/// <param name="FillPercent">Where the dancer is, %.</param>
/// <param name="StoredMeters">Film in the accumulator above the empty mark, m; negative below it.</param>
/// <param name="UnwoundMeters">Film taken off rolls since the start, m; less what was wound back by hand.</param>
/// <param name="DrawnMeters">Film the machine has pulled since the start, m.</param>
/// <param name="UnwindMetersPerSecond">Film speed off the roll in the last step, m/s.</param>
/// <param name="DrawMetersPerSecond">Film speed into the machine in the last step, m/s.</param>
/// <param name="RollMeters">Film left on the roll, m.</param>
/// <param name="RollDiameterMillimeters">Outer diameter, mm.</param>
/// <param name="RollTurnHertz">Turns of the roll per second.</param>
/// <param name="DriveTorqueNewtonMeters">What the unwind's motor gives, N m; negative where it holds back.</param>
public readonly record struct FilmTruth(
    double FillPercent,
    double StoredMeters,
    double UnwoundMeters,
    double DrawnMeters,
    double UnwindMetersPerSecond,
    double DrawMetersPerSecond,
    double RollMeters,
    double RollDiameterMillimeters,
    double RollTurnHertz,
    double DriveTorqueNewtonMeters
);
