namespace Dancerwatch.Signals.Survey.Steps;

/// <summary>A stop of the machine. All in the gap's unit.</summary>
/// <param name="Before">Mean over the last seconds of running.</param>
/// <param name="AtStand">When the machine drew no more.</param>
/// <param name="Lowest">Lowest gap from then until all stood, smoothed over a tenth of a second.</param>
/// <param name="Highest">Highest, likewise.</param>
/// <param name="FilmMillimeters">Film the unwind gave from then on, mm.</param>
public sealed record Stop(
    double Before,
    double AtStand,
    double Lowest,
    double Highest,
    double FilmMillimeters
);
