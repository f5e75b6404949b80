namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>What the machine's controller knows, renewed each scan: the values its tags have.</summary>
public readonly record struct ControllerImage
{
    /// <summary>0 to 4095.</summary>
    public int GapCounts { get; init; }

    /// <summary>m/min.</summary>
    public double UnwindSpeed { get; init; }

    /// <summary>m/min.</summary>
    public double UnwindCommand { get; init; }

    /// <summary>Mean film speed of the machine, m/min.</summary>
    public double LineSpeed { get; init; }

    /// <summary>Cycles a minute.</summary>
    public double CycleRate { get; init; }
    public bool Running { get; init; }

    /// <summary>%.</summary>
    public double TargetFill { get; init; }
    public int GapAtFull { get; init; }
    public int GapAtEmpty { get; init; }
    public bool FullSideTrip { get; init; }
    public bool EmptySideTrip { get; init; }
    public bool BrakeOn { get; init; }

    /// <summary>bar; NaN without air.</summary>
    public double BrakePressure { get; init; }

    /// <summary>mm.</summary>
    public double RollDiameter { get; init; }

    /// <summary>Sideways position of the film edge, mm.</summary>
    public double EdgePosition { get; init; }
    public int Product { get; init; }
}
