namespace Dancerwatch.Signals.Survey;

/// <summary>
/// Coverage factors: how many standard uncertainties make a 95 % interval. Student's t for as many degrees of freedom
/// (GUM G.3 and table G.2, from memory).
/// </summary>
internal static class Coverage
{
    /// <summary>Half the width of a rectangular distribution over its standard deviation (GUM 4.3.7).</summary>
    public static readonly double Rectangular = Math.Sqrt(3);

    /// <summary>For many degrees of freedom.</summary>
    public const double Normal = 1.96;

    private static readonly double[] s_t =
    [
        12.71,
        4.30,
        3.18,
        2.78,
        2.57,
        2.45,
        2.36,
        2.31,
        2.26,
        2.23,
        2.20,
        2.18,
        2.16,
        2.14,
        2.13,
        2.12,
        2.11,
        2.10,
        2.09,
        2.09,
    ];

    /// <param name="freedom">Degrees of freedom; fractions are cut off (GUM G.4.1). Below 1: infinite, nothing is known.</param>
    public static double Factor(double freedom) =>
        freedom < 1 ? double.PositiveInfinity
        : freedom < s_t.Length + 1 ? s_t[(int)freedom - 1]
        : Normal + (2.5 / freedom);
}
