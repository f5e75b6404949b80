namespace Dancerwatch.Signals.FilmPath;

/// <summary>Whether the film's edge goes with the dancer.</summary>
/// <param name="FrequencyHz">Where fill moves most: the frequency the coherence is taken at, Hz.</param>
/// <param name="Coherence">Magnitude-squared coherence of fill and edge there, 0 to 1.</param>
/// <param name="ByChance">What two series that know nothing of each other exceed in 1 of 100 cases.</param>
/// <param name="WanderMillimeters">Standard deviation of the edge's movements between 1/32 and 2 Hz, mm.</param>
/// <param name="LedShare">Share of that wander's variance that goes with fill, its chance part taken off and the roll's turn left out, 0 to 1.</param>
/// <param name="Segments">Segments averaged, half overlapping, 64 s each.</param>
public readonly record struct EdgeFinding(
    double FrequencyHz,
    double Coherence,
    double ByChance,
    double WanderMillimeters,
    double LedShare,
    int Segments
)
{
    /// <summary>Below this share of its wander an edge that goes with fill wanders for other reasons all the same.</summary>
    private const double LeastLedShare = 0.05;

    /// <summary>Nothing known: no edge signal, or too few segments.</summary>
    public static EdgeFinding Unknown { get; } =
        new(double.NaN, double.NaN, double.NaN, double.NaN, double.NaN, 0);

    public bool IsKnown => double.IsFinite(Coherence);

    /// <summary>More than chance makes of two series that know nothing of each other.</summary>
    public bool IsSignificant => Coherence > ByChance;

    /// <summary>The dancer leads the edge: more than by chance, and for a part of its wander that matters.</summary>
    public bool IsLed => IsSignificant && LedShare >= LeastLedShare;
}
