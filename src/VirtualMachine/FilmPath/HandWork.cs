namespace Dancerwatch.VirtualMachine.FilmPath;

/// <summary>
/// An operator turns the roll by hand, either way, until the accumulator holds what he wants. A roll in his hands does not
/// turn by itself, however unbalanced it is and however little its brake holds.
/// </summary>
internal sealed class HandWork
{
    /// <summary>Pull of two hands at the roll's rim, N (common practice, no source).</summary>
    private const double GripNewtons = 200;

    private const double MetersPerSecond = 0.15;
    private const double CloseEnoughPercent = 1;

    private double _wantedPercent = double.NaN;

    public bool IsBusy => !double.IsNaN(_wantedPercent);

    public void MoveTo(double fillPercent) => _wantedPercent = fillPercent;

    /// <summary>Torque of the hands on the roll against any movement of its own, N m; 0 where none are there.</summary>
    public double Grip(Roll roll) => IsBusy ? GripNewtons * roll.DiameterMeters / 2 : 0;

    /// <returns>Angle turned, rad; negative winds back on.</returns>
    public double Step(double seconds, double storedPercent, Roll roll)
    {
        double missing = _wantedPercent - storedPercent;
        if (Math.Abs(missing) < CloseEnoughPercent || (missing > 0 && roll.IsEmpty))
        {
            _wantedPercent = double.NaN;
            return 0;
        }
        return Math.Sign(missing) * MetersPerSecond * seconds / (roll.DiameterMeters / 2);
    }
}
