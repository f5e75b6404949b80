using Dancerwatch.Signals.Fill;

namespace Dancerwatch.Signals.Forecast;

/// <summary>Where fill is heading.</summary>
/// <param name="Side">The side that would be passed first; <see cref="Side.None"/> when neither is approached.</param>
/// <param name="SecondsToLimit">Seconds until fill is projected past that trip; infinity when it is not approached; NaN where unknown.</param>
/// <param name="ProbabilityIn1Minute">Probability that the trip level on <paramref name="LikelySide"/> is passed within 1 min.</param>
/// <param name="ProbabilityIn5Minutes">The same within 5 min.</param>
/// <param name="ProbabilityIn15Minutes">The same within 15 min.</param>
/// <param name="LikelySide">The likelier side of the minutes-ahead probabilities.</param>
public readonly record struct ForecastEstimate(
    Side Side,
    double SecondsToLimit,
    double ProbabilityIn1Minute,
    double ProbabilityIn5Minutes,
    double ProbabilityIn15Minutes,
    Side LikelySide
)
{
    /// <summary>Nothing is known: the machine stands, or too little was seen.</summary>
    public static ForecastEstimate Unknown { get; } =
        new(Side.None, double.NaN, double.NaN, double.NaN, double.NaN, Side.None);
}
