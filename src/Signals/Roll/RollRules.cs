namespace Dancerwatch.Signals.Roll;

/// <summary>What settings of a roll must keep; the first that does not is refused by name. NaN means not known.</summary>
internal static class RollRules
{
    /// <exception cref="ArgumentException">A setting cannot be used.</exception>
    public static void Check(RollSettings s)
    {
        Demand.That(
            s.CoreDiameterMillimeters > 0 && double.IsFinite(s.CoreDiameterMillimeters),
            nameof(s.CoreDiameterMillimeters),
            s.CoreDiameterMillimeters,
            "a finite number above 0",
            "Try 76."
        );
        Demand.That(
            double.IsNaN(s.FullDiameterMillimeters)
                || (
                    s.FullDiameterMillimeters > s.CoreDiameterMillimeters
                    && double.IsFinite(s.FullDiameterMillimeters)
                ),
            nameof(s.FullDiameterMillimeters),
            s.FullDiameterMillimeters,
            $"a finite number above CoreDiameterMillimeters ({s.CoreDiameterMillimeters}), or NaN where not known",
            "Measure both as diameters, in mm."
        );
        Demand.That(
            double.IsNaN(s.FilmThicknessMicrometers)
                || (s.FilmThicknessMicrometers > 0 && double.IsFinite(s.FilmThicknessMicrometers)),
            nameof(s.FilmThicknessMicrometers),
            s.FilmThicknessMicrometers,
            "a finite number above 0, or NaN where not known",
            "Read it off the roll's label, in micrometers."
        );
    }
}
