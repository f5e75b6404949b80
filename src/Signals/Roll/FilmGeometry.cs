namespace Dancerwatch.Signals.Roll;

/// <summary>
/// A roll of film is a ring of film seen from the side: length times thickness is its area,
/// <c>L = pi (D^2 - d^2) / (4 t)</c>. Exact for film wound without air; common practice, no source.
/// </summary>
internal static class FilmGeometry
{
    private const double MillimetersPerMeter = 1000;
    private const double MicrometersPerMillimeter = 1000;

    /// <summary>Film on a roll, m; 0 or less where no film is left on the core.</summary>
    public static double LengthMeters(
        double diameterMillimeters,
        double coreMillimeters,
        double thicknessMicrometers
    )
    {
        double squares = (diameterMillimeters * diameterMillimeters) - (coreMillimeters * coreMillimeters);
        double thickness = thicknessMicrometers / MicrometersPerMillimeter;
        return Math.PI * squares / (4 * thickness) / MillimetersPerMeter;
    }

    /// <summary>Diameter of a roll, mm, after film was taken off it; NaN where it never had so much.</summary>
    public static double DiameterAfter(
        double diameterMillimeters,
        double usedMeters,
        double thicknessMicrometers
    )
    {
        double thickness = thicknessMicrometers / MicrometersPerMillimeter;
        double squares = 4 * thickness * usedMeters * MillimetersPerMeter / Math.PI;
        return Math.Sqrt((diameterMillimeters * diameterMillimeters) - squares);
    }

    /// <summary>Turns a second of a roll that film leaves at a speed, Hz.</summary>
    public static double TurnHz(double metersPerMinute, double diameterMillimeters) =>
        metersPerMinute / 60 * MillimetersPerMeter / (Math.PI * diameterMillimeters);

    /// <summary>Diameter, mm, of a roll that turns so often while film leaves it at a speed.</summary>
    public static double DiameterAt(double metersPerMinute, double turnHz) =>
        metersPerMinute / 60 * MillimetersPerMeter / (Math.PI * turnHz);
}
