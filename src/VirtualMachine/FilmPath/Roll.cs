namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// A roll of film: what is wound on it, how heavy it turns, where in its turn it is. Film on a roll: pi (D^2 - d^2) / (4 t);
/// inertia of a solid roll about its axis: pi rho w (D^4 - d^4) / 32 (textbook geometry and mechanics). SI units inside.
/// </summary>
internal sealed class Roll
{
    // Core, chuck and spindle, kg m^2: a kilogram or two close to the axis.
    private const double CoreInertia = 0.005;

    private readonly double _core;
    private readonly double _thickness;
    private readonly double _density;
    private readonly double _width;

    public Roll(
        double diameterMillimeters,
        double coreMillimeters,
        double thicknessMicrometers,
        double widthMillimeters,
        double densityKilogramsPerCubicMeter
    )
    {
        _core = coreMillimeters / 1000;
        _thickness = thicknessMicrometers / 1e6;
        _density = densityKilogramsPerCubicMeter;
        _width = widthMillimeters / 1000;
        SetDiameter(diameterMillimeters / 1000);
    }

    public double DiameterMeters { get; private set; }

    /// <summary>Film on the roll, m.</summary>
    public double LengthMeters { get; private set; }

    /// <summary>Of the film alone.</summary>
    public double FilmInertiaKilogramSquareMeters { get; private set; }

    /// <summary>With core and chuck.</summary>
    public double InertiaKilogramSquareMeters => FilmInertiaKilogramSquareMeters + CoreInertia;
    public double MassKilograms { get; private set; }

    /// <summary>Where the roll is in its turn, rad in [0, 2 pi).</summary>
    public double Angle { get; private set; }

    public bool IsEmpty => LengthMeters <= 0;

    /// <summary>A new roll, or one with that much film left on it.</summary>
    public void SetDiameter(double meters) =>
        SetLength(Math.PI * ((meters * meters) - (_core * _core)) / (4 * _thickness));

    public void SetLength(double meters)
    {
        LengthMeters = Math.Max(0, meters);
        double square = (_core * _core) + (4 * _thickness * LengthMeters / Math.PI);
        double coreSquare = _core * _core;
        DiameterMeters = Math.Sqrt(square);
        MassKilograms = Math.PI * _density * _width * (square - coreSquare) / 4;
        FilmInertiaKilogramSquareMeters =
            Math.PI * _density * _width * ((square * square) - (coreSquare * coreSquare)) / 32;
    }

    /// <summary>Turns the roll and takes off (or, turning back, winds on) what it gives.</summary>
    /// <returns>Film given, m.</returns>
    public double Turn(double angleRadians, double eccentricityMeters)
    {
        double given = angleRadians * ((DiameterMeters / 2) + (eccentricityMeters * Math.Sin(Angle)));
        given = Math.Min(given, LengthMeters);
        Angle = (Angle + angleRadians) % (2 * Math.PI);
        if (given != 0)
            SetLength(LengthMeters - given);
        return given;
    }
}
