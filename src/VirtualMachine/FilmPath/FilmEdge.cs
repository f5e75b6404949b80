namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// Sideways position of the film's edge behind the accumulator. Three things move it, and all of them by film that moves: a
/// film that stands keeps its place. The winding of the roll, a slow wander; a roll wound askew, once a turn; and the dancer,
/// whose arm is never quite square, so that each position of it steers film to another place.
/// </summary>
/// <remarks>
/// Film follows what steers it as a first-order lag whose length is the free span (Shelton and Reid 1971, from memory): so a
/// dancer that swings within a cycle moves the edge less than one that swings slowly, as it is on a machine. Wander by metre,
/// not by second, since it was laid into the roll. Sizes are common practice, no source.
/// </remarks>
internal sealed class FilmEdge(MachineParameters machine, Random random)
{
    // After so much film the winding has forgotten where it was, m.
    private const double WindingMeters = 1;

    // From the accumulator's last roller to the next, m.
    private const double SpanMeters = 0.5;

    private double _winding;
    private double _turns;
    private double _led;

    /// <summary>mm from its middle.</summary>
    public double Millimeters { get; private set; }

    /// <param name="movedMeters">Film that went by since the scan before.</param>
    /// <param name="rollDiameterMeters">Of the roll it comes from.</param>
    /// <param name="dancerPercent">Where the dancer is, %.</param>
    public void Scan(double movedMeters, double rollDiameterMeters, double dancerPercent)
    {
        double kept = Math.Exp(-movedMeters / WindingMeters);
        _winding =
            (kept * _winding)
            + (Math.Sqrt(1 - (kept * kept)) * machine.EdgeWanderMillimeters * random.NextNormal());
        _turns += movedMeters / (Math.PI * rollDiameterMeters);
        double steered =
            machine.EdgeMillimetersPerPercentOfFill * (dancerPercent - machine.TargetFillPercent);
        _led += (1 - Math.Exp(-movedMeters / SpanMeters)) * (steered - _led);
        Millimeters = _winding + (machine.EdgeMillimetersPerTurn * Math.Sin(2 * Math.PI * _turns)) + _led;
    }
}
