namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// Sideways position of the film's edge behind the accumulator: a slow wander of its own (the winding of the roll, a guide)
/// plus what the dancer's movement does to it, since a roller that moves fast lets film slip sideways.
/// </summary>
internal sealed class FilmEdge(MachineParameters machine, Random random)
{
    // How long the edge remembers where it was, s.
    private const double MemorySeconds = 5;

    private double _own;

    /// <summary>mm from its middle.</summary>
    public double Millimeters { get; private set; }

    /// <param name="seconds">Since the scan before.</param>
    /// <param name="dancerPercent">Where the dancer is, %.</param>
    public void Scan(double seconds, double dancerPercent)
    {
        double kept = Math.Exp(-seconds / MemorySeconds);
        _own =
            (kept * _own)
            + (Math.Sqrt(1 - (kept * kept)) * machine.EdgeWanderMillimeters * random.NextNormal());
        Millimeters =
            _own + (machine.EdgeMillimetersPerPercentOfFill * (dancerPercent - machine.TargetFillPercent));
    }
}
